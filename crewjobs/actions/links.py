"""Capability links: whoever holds the address may read one thing, until it is revoked.

A token is shown once and only its SHA-256 is kept: 256 random bits need no slow hash. This file
knows who may make and end a link; what the address then shows is the door's business.
"""

import secrets
from collections.abc import Collection
from datetime import datetime, timedelta
from hashlib import sha256
from typing import TypedDict, Unpack

from django.db import transaction
from django.db.models import Q

from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.models import Crew, Job, Link, Person, Purpose
from crewjobs.permissions import SEES_EVERYTHING, visible_jobs

FEEDS = frozenset({Purpose.CREW_FEED, Purpose.PERSON_FEED, Purpose.SHOP_FEED})
TOUCH_EVERY = timedelta(minutes=1)
"""Spares a write for each poll of an eager reader; common practice."""


class About(TypedDict, total=False):
    """Whose feed it is, or which job is to be signed."""

    crew: Crew | None
    person: Person | None
    job: Job | None


def hash_of(token: str) -> str:
    """What is kept of a token."""
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def make(
    *,
    purpose: Purpose,
    by: Person,
    now: datetime,
    expires_at: datetime | None = None,
    **about: Unpack[About],
) -> tuple[Link, str]:
    """Make a link and its token, which nobody can read again."""
    _allow(by, purpose, about)
    token = secrets.token_urlsafe(32)
    link = Link.objects.create(
        purpose=purpose,
        token_hash=hash_of(token),
        made_by=by,
        created_at=now,
        expires_at=expires_at,
        **about,
    )
    log.write("feed.make", link, by=by, now=now, job=about.get("job"), purpose=str(purpose))
    return link, token


@transaction.atomic
def revoke(link: Link, *, by: Person, now: datetime) -> Link:
    """End a link: its address is unknown from now on. Ending it twice changes nothing."""
    _allow(by, Purpose(link.purpose), _subject(link))
    if Link.objects.in_force().filter(pk=link.pk).update(revoked_at=now):
        log.write("feed.revoke", link, by=by, now=now, job=link.job)
    link.refresh_from_db(fields=["revoked_at"])
    return link


@transaction.atomic
def rotate(link: Link, *, by: Person, now: datetime) -> tuple[Link, str]:
    """Put a new link in the place of one that may have leaked.

    Raises
    ------
    ConflictError
        If it was revoked already.
    """
    if not Link.objects.in_force().select_for_update().filter(pk=link.pk).exists():
        raise ConflictError("the link is revoked already")
    revoke(link, by=by, now=now)
    return make(
        purpose=Purpose(link.purpose), by=by, now=now, expires_at=link.expires_at, **_subject(link)
    )


def find(token: str, purposes: Purpose | Collection[Purpose], now: datetime) -> Link | None:
    """The link of a token, for one of the purposes; unknown, revoked and expired look the same."""
    wanted = {purposes} if isinstance(purposes, Purpose) else purposes
    in_time = Q(expires_at__isnull=True) | Q(expires_at__gt=now)
    return (
        Link.objects.in_force()
        .filter(in_time, token_hash=hash_of(token), purpose__in=wanted)
        .exclude(person__is_active=False)
        .select_related("crew", "person", "job")
        .first()
    )


def touch(link: Link, *, now: datetime, by: str = "") -> None:
    """Keep when the link was last used, and by what."""
    if link.last_used_at and link.last_used_at > now - TOUCH_EVERY:
        return
    name = "".join(letter for letter in by if letter.isprintable())[:200]
    Link.objects.filter(pk=link.pk).update(last_used_at=now, last_used_by=name)


def _subject(link: Link) -> About:
    return About(crew=link.crew, person=link.person, job=link.job)


def _allow(by: Person, purpose: Purpose, about: About) -> None:
    """Office people may make any feed; others their own and their crew's."""
    subject = {
        Purpose.CREW_FEED: about.get("crew"),
        Purpose.PERSON_FEED: about.get("person"),
        Purpose.SIGN_OFF: about.get("job"),
        Purpose.SHOP_FEED: by,
    }[purpose]
    if subject is None:
        raise InvalidError({f"/{purpose.split()[0]}": "say whose calendar it is"})
    verb = "job.sign_off" if purpose is Purpose.SIGN_OFF else "feed.make"
    log.require(by, verb)
    if not _is_theirs(by, purpose, about):
        raise NotAllowedError(verb)


def _is_theirs(by: Person, purpose: Purpose, about: About) -> bool:
    if by.role in SEES_EVERYTHING:
        return True
    if purpose is Purpose.CREW_FEED:
        crew = about.get("crew")
        return crew is not None and crew.pk == by.crew_id
    if purpose is Purpose.PERSON_FEED:
        return about.get("person") == by
    job = about.get("job")
    return job is not None and visible_jobs(by).filter(pk=job.pk).exists()
