"""Machines' keys to the API, and the check of a password. A key is shown once and kept hashed."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.db import transaction

from crewjobs.actions import log
from crewjobs.models import ApiToken, Person
from crewjobs.permissions import may

TOUCH_EVERY = timedelta(minutes=1)
"""Spares a write for each request; common practice."""


@transaction.atomic
def make(*, name: str, by: Person, now: datetime) -> tuple[ApiToken, str]:
    """Make a token that does what its person may do; it can be read this once only."""
    key = secrets.token_urlsafe(32)
    token = ApiToken.objects.create(
        person=by, name=name, token_hash=_hash(key), created_at=now, last_used_at=now
    )
    log.write("token.make", token, by=by, now=now, name=name)
    return token, key


@transaction.atomic
def revoke(*, token_id: UUID, by: Person, now: datetime) -> ApiToken:
    """End a token: one's own, or anybody's for who may change people.

    Raises
    ------
    ApiToken.DoesNotExist
        If there is none, or it is none of theirs.
    """
    seen = ApiToken.objects.all() if may(by, "people.change") else by.tokens.all()
    token = seen.select_for_update().get(pk=token_id)
    if token.revoked_at is None:
        token.revoked_at = now
        token.save(update_fields=["revoked_at"])
        log.write("token.revoke", token, by=by, now=now, name=token.name)
    return token


def find(key: str) -> ApiToken | None:
    """The token of a key, of a person who is still with the shop."""
    return (
        ApiToken.objects.filter(
            token_hash=_hash(key), revoked_at__isnull=True, person__is_active=True
        )
        .select_related("person")
        .first()
    )


def touch(token: ApiToken, *, now: datetime) -> None:
    """Keep when the token was last used."""
    if token.last_used_at is None or token.last_used_at <= now - TOUCH_EVERY:
        ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)


def person_with(*, email: str, password: str) -> Person | None:
    """The person with this address and password; an unknown address takes as long."""
    person = Person.objects.by_email(email)
    if person is None:
        make_password(password)
        return None
    return person if person.check_password(password) else None


def _hash(key: str) -> str:
    return sha256(key.encode()).hexdigest()
