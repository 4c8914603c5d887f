"""People: added, changed, given a password, sent home."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from crewjobs.actions import log
from crewjobs.actions.errors import InvalidError
from crewjobs.models import Crew, Person, Role, Skill

MAY_CHANGE = frozenset({"name", "phone", "language", "role", "crew", "is_active"})


@dataclass(frozen=True, kw_only=True, slots=True)
class PersonEntry:
    """Somebody of the shop. Without a password they cannot sign in by one."""

    name: str
    email: str
    password: str = ""
    phone: str = ""
    language: str = "en"


@transaction.atomic
def add(
    *, entry: PersonEntry, role: Role, crew: Crew | None, skills: Iterable[str], by: Person,
    now: datetime,
) -> Person:  # fmt: skip
    """One more person.

    Raises
    ------
    InvalidError
        If the address is taken, the password will not do, or a skill is unknown.
    """
    log.require(by, "people.change")
    person = write(entry, role=role, crew=crew, now=now)
    person.skills.set(_skills(skills))
    log.write("people.add", person, by=by, now=now, role=role)
    return person


@transaction.atomic
def change(
    *,
    person_id: UUID,
    changes: Mapping[str, object],
    skills: Iterable[str] | None = None,
    by: Person,
    now: datetime,
) -> Person:
    """Edit a person; `skills` None leaves them as they are.

    Raises
    ------
    InvalidError
        If a column is not to be edited, or nobody of the office would be left.
    """
    log.require(by, "people.change")
    person = Person.objects.select_for_update().get(pk=person_id)
    if unknown := sorted(set(changes) - MAY_CHANGE):
        raise InvalidError({f"/{name}": "cannot be changed here" for name in unknown})
    for name, value in changes.items():
        setattr(person, name, value)
    person.save()
    if skills is not None:
        person.skills.set(_skills(skills))
    if not Person.objects.filter(role=Role.DISPATCHER, is_active=True).exists():
        raise InvalidError({"/role": "somebody of the office must be left"})
    shown = {name: str(value) for name, value in changes.items()}
    log.write("people.change", person, by=by, now=now, after=shown)
    return person


@transaction.atomic
def set_password(*, person_id: UUID, password: str, by: Person, now: datetime) -> Person:
    """A new password, by oneself or by the office.

    Raises
    ------
    InvalidError
        If it will not do.
    """
    if by.pk != person_id:
        log.require(by, "people.change")
    person = Person.objects.select_for_update().get(pk=person_id)
    _set_password(person, password)
    person.save()
    log.write("people.password", person, by=by, now=now)
    return person


def write(entry: PersonEntry, *, role: Role, crew: Crew | None = None, now: datetime) -> Person:
    """Write a person's row."""
    if Person.objects.filter(email__iexact=entry.email).exists():
        raise InvalidError({"/email": f"{entry.email} is taken"})
    person = Person(
        created_at=now,
        name=entry.name,
        email=entry.email.lower(),
        phone=entry.phone,
        language=entry.language,
        role=role,
        crew=crew,
    )
    if entry.password:
        _set_password(person, entry.password)
    else:
        person.set_unusable_password()
    person.save()
    return person


def _set_password(person: Person, password: str) -> None:
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise InvalidError({"/password": " ".join(error.messages)}) from error
    person.set_password(password)


def _skills(codes: Iterable[str]) -> list[Skill]:
    wanted = set(codes)
    found = list(Skill.objects.filter(code__in=wanted))
    if unknown := sorted(wanted - {skill.code for skill in found}):
        raise InvalidError({"/skills": f"there is no skill {unknown[0]}"})
    return found
