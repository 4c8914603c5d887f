"""Capability links: whoever holds the address may do one thing. Only the token's hash is kept."""

from enum import StrEnum
from typing import Self

from django.db import models

from crewjobs.models.rows import Row, check, choice, one_of


class Purpose(StrEnum):
    """What a link is for; purposes never mix."""

    CREW_FEED = "crew feed"
    PERSON_FEED = "person feed"
    SHOP_FEED = "shop feed"
    SIGN_OFF = "sign off"


class Links(models.QuerySet["Link"]):
    def in_force(self) -> Self:
        """Not revoked. Whether one has expired is asked with the hour at hand."""
        return self.filter(revoked_at__isnull=True)


class Link(Row):
    purpose = choice(Purpose)
    token_hash = models.CharField(max_length=64, unique=True)
    crew = models.ForeignKey(
        "Crew", on_delete=models.CASCADE, null=True, blank=True, related_name="links"
    )
    person = models.ForeignKey(
        "Person", on_delete=models.CASCADE, null=True, blank=True, related_name="links"
    )
    job = models.ForeignKey(
        "Job", on_delete=models.CASCADE, null=True, blank=True, related_name="links"
    )
    made_by = models.ForeignKey("Person", on_delete=models.SET_NULL, null=True, related_name="+")
    expires_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    last_used_by = models.CharField(max_length=200, blank=True)
    """The reader's own name for itself."""

    objects = Links.as_manager()

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            one_of("link", "purpose", Purpose),
            check(
                "link_has_its_subject",
                models.Q(purpose=Purpose.CREW_FEED, crew__isnull=False)
                | models.Q(purpose=Purpose.PERSON_FEED, person__isnull=False)
                | models.Q(purpose=Purpose.SHOP_FEED)
                | models.Q(purpose=Purpose.SIGN_OFF, job__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.purpose
