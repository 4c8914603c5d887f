"""Sign-offs: the customer's signature under a text that says what was installed.

Whoever shows the text and whoever signs it get it from the same place; its hash is kept beside
it, so that a later change of the job does not change what was signed.
"""

from collections.abc import Iterable
from datetime import datetime
from hashlib import sha256
from math import isfinite
from typing import NotRequired, TypedDict, Unpack
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from crewjobs.actions import learning, log, messages, stages
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.domain.facts import Stage
from crewjobs.models import Job, Link, Person, Purpose, SigningWay, SignOff

Stroke = list[list[float]]
"""Points of one stroke: x, y, milliseconds since the first."""

MOST_POINTS = 20_000
"""A signature has some hundred points. Common practice, not measured."""

LONGEST_NAME = 120


class Signature(TypedDict):
    """Who signs, and how. A typed name has no strokes."""

    signer_name: str
    way: SigningWay
    strokes: NotRequired[list[Stroke]]
    accepts_open_items: NotRequired[bool]
    """The signer ticked that the items named in the text stay open."""
    seen_sha256: NotRequired[str]
    """The hash of the text that was shown; a text that has changed since is not signed."""
    address: NotRequired[str | None]
    agent: NotRequired[str]


@transaction.atomic
def sign(
    *,
    job_id: UUID,
    by: Person | None,
    now: datetime,
    link: Link | None = None,
    **signature: Unpack[Signature],
) -> SignOff:
    """Sign a job off: by one of the crew's leads beside the customer, or through a link.

    Raises
    ------
    InvalidError
        If the name or the strokes cannot be a signature.
    ConflictError
        If the job is signed off already, or its text is no longer the one that was shown.
    RefusedError
        With every reason why the job cannot be signed off.
    """
    job = _locked(job_id, by=by, link=link, now=now)
    name, strokes = _checked(signature)
    if hasattr(job, "sign_off"):
        raise ConflictError(f"job {job.number} is signed off already")
    text = document(job)
    seen = signature.get("seen_sha256")
    if seen and seen != sha256_of(text):
        raise ConflictError("the text has changed since it was shown")
    if signature.get("accepts_open_items"):
        job.open_items.filter(closed_at__isnull=True).update(is_accepted=True)
    made = SignOff.objects.create(
        created_at=now,
        job=job,
        signer_name=name,
        way=signature["way"],
        strokes=strokes,
        document=text,
        document_sha256=sha256_of(text),
        witnessed_by=by,
        address=signature.get("address"),
        agent=signature.get("agent", "")[:300],
        signed_at=now,
    )
    stages.enter(job, Stage.SIGNED_OFF, by=by, now=now)
    log.write("job.sign_off", job, by=by, now=now, job=job, signer=name, way=signature["way"])
    messages.signed_off(job=job, now=now)
    learning.queue_tonight(now=now)
    return made


def document(job: Job) -> str:
    """The text that is signed: what was installed, what stays open, what is left to trades."""
    items = job.open_items.filter(closed_at__isnull=True)
    pieces = [f"{p.name}: {p.kind}, {p.thickness_mm:g} mm {p.material}" for p in job.pieces.all()]
    sections = (
        ("Pieces of stone that were installed:", [piece.strip() for piece in pieces]),
        ("Still open; the customer accepts that it is done later:", [i.what for i in items]),
        ("Left to licensed trades, which alone connect and switch on:", _trades(job)),
    )
    head = (f"Job {job.number} {job.title}".strip(), f"Customer: {job.customer.name}")
    body = [line for title, lines in sections if lines for line in _section(title, lines)]
    last = "The customer has looked at the work and takes it over as it is listed here."
    return "\n".join([*head, f"Site: {job.site.address}", *body, "", last, ""])


def sha256_of(text: str) -> str:
    """The hash that is kept beside a signed text."""
    return sha256(text.encode()).hexdigest()


def _section(title: str, lines: Iterable[str]) -> list[str]:
    return ["", title, *(f"- {line}" for line in lines)]


def _trades(job: Job) -> list[str]:
    zone = ZoneInfo(job.site.time_zone)
    return [
        f"{work.trade}: {work.what}"
        + (
            f", not before {work.earliest_at.astimezone(zone):%Y-%m-%d %H:%M}"
            if work.earliest_at
            else ""
        )
        for work in job.trade_work.filter(done_at__isnull=True)
    ]


def _locked(job_id: UUID, *, by: Person | None, link: Link | None, now: datetime) -> Job:
    if by is not None:
        return log.locked_job(job_id, by=by, verb="job.sign_off")
    in_time = Q(expires_at__isnull=True) | Q(expires_at__gt=now)
    links = Link.objects.in_force().filter(in_time, purpose=Purpose.SIGN_OFF, job=job_id)
    if link is None or not links.filter(pk=link.pk).exists():
        raise NotAllowedError("job.sign_off")
    return Job.objects.select_for_update().get(pk=job_id)


def _checked(signature: Signature) -> tuple[str, list[Stroke]]:
    """The name and the strokes, if they can be a signature."""
    name = " ".join(signature["signer_name"].split())
    if not 1 <= len(name) <= LONGEST_NAME:
        raise InvalidError(
            {"/signer_name": f"has {len(name)} letters, from 1 to {LONGEST_NAME} are allowed"}
        )
    if signature["way"] == SigningWay.TYPED:
        return name, []
    strokes = signature.get("strokes", [])
    points = [point for stroke in strokes for point in stroke]
    if not 2 <= len(points) <= MOST_POINTS:
        raise InvalidError(
            {"/strokes": f"has {len(points)} points, from 2 to {MOST_POINTS} are allowed"}
        )
    if any(len(point) != 3 or not all(map(isfinite, point)) for point in points):
        raise InvalidError({"/strokes": "a point is x, y and milliseconds"})
    return name, strokes
