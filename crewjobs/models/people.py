"""The people of the shop and how they sign in."""

from enum import StrEnum
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models

from crewjobs.models.crews import Skill
from crewjobs.models.rows import Row, choice, one_of


class Role(StrEnum):
    """What somebody may do; permissions.py says it verb by verb."""

    DISPATCHER = "dispatcher"
    CREW_LEAD = "crew lead"
    CREW_MEMBER = "crew member"
    TEMPLATER = "templater"
    READER = "read-only"


class People(BaseUserManager["Person"]):
    def by_email(self, email: str) -> "Person | None":
        """The active person with this address, however it was typed."""
        return self.filter(email__iexact=email.strip(), is_active=True).first()


class Person(Row, AbstractBaseUser):
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=10, default="en")
    role = choice(Role)
    crew = models.ForeignKey(
        "Crew", on_delete=models.SET_NULL, related_name="members", null=True, blank=True
    )
    skills: "models.ManyToManyField[Skill, models.Model]" = models.ManyToManyField(
        "Skill", related_name="people", blank=True
    )
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]
    objects = People()

    class Meta:
        ordering = ["name"]
        constraints = [one_of("person", "role", Role)]

    def __str__(self) -> str:
        return self.name


class ApiToken(Row):
    """A machine's key. Only its SHA-256 is kept; the key itself is shown once."""

    person = models.ForeignKey("Person", on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80)
    token_hash = models.CharField(max_length=64, unique=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.name
