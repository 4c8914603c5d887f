"""Visits: added, changed, locked, confirmed, cancelled; and a published place withdrawn."""

import datetime as dt
from collections.abc import Iterable, Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction

from crewjobs.actions import hours, log, messages, trades
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.actions.orders import VisitEntry, WindowEntry
from crewjobs.domain.facts import VisitKind
from crewjobs.models import Job, Person, Piece, Skill, Visit, VisitWindow
from crewjobs.permissions import visible_visits

MAY_CHANGE = frozenset(
    {"earliest_on", "due_on", "latest_on", "hands", "comes_after", "after_days", "assists"}
)
"""The columns of a visit that the office edits in place."""


HOURS = ("hours_model", "hands", "p50_min", "p80_min", "p90_min", "hours_lines", "version")
"""What an estimate writes."""


@transaction.atomic
def add(
    *, job_id: UUID, entry: VisitEntry, pieces: Iterable[str] = (), by: Person, now: datetime
) -> Visit:
    """One more visit to a job; a return visit may be about some pieces only.

    Raises
    ------
    InvalidError
        If a piece or a skill is not known.
    """
    log.require(by, "visit.change")
    job = log.locked_job(job_id, by=by, verb="visit.change")
    visit = write(job, entry, where="", now=now)
    visit.pieces.set(_pieces(job, pieces))
    log.write("visit.add", visit, by=by, now=now, job=job, kind=entry.kind)
    hours.refresh(job, now=now)
    visit.refresh_from_db()
    return visit


@transaction.atomic
def change(*, visit_id: UUID, changes: Mapping[str, object], by: Person, now: datetime) -> Visit:
    """Edit when a visit may be, with how many hands, and with which other visits of the job.

    Raises
    ------
    InvalidError
        If a column is not to be edited, or the visits could not be planned together.
    """
    visit = _locked(visit_id, by=by)
    if unknown := sorted(set(changes) - MAY_CHANGE):
        raise InvalidError({f"/{name}": "cannot be changed here" for name in unknown})
    for name, value in changes.items():
        setattr(visit, name, value)
    _check_links(visit)
    visit.hands_are_set = visit.hands_are_set or "hands" in changes
    _touch(visit, now=now)
    shown = {name: str(value) for name, value in changes.items()}
    log.write("visit.change", visit, by=by, now=now, job=visit.job, after=shown)
    hours.refresh(visit.job, now=now)
    visit.refresh_from_db()
    return visit


@transaction.atomic
def set_windows(
    *, visit_id: UUID, windows: Iterable[WindowEntry], by: Person, now: datetime
) -> Visit:
    """Say when the customer lets the crew begin; without any, whenever the crew works."""
    visit = _locked(visit_id, by=by)
    visit.windows.all().delete()
    _write_windows(visit, windows, now=now)
    _touch(visit, now=now)
    log.write("visit.windows", visit, by=by, now=now, job=visit.job)
    return visit


@transaction.atomic
def lock(*, visit_id: UUID, is_locked: bool, by: Person, now: datetime) -> Visit:
    """Keep the published place from moving in a new plan, or let it move again.

    Raises
    ------
    ConflictError
        If the visit has no published place to keep.
    """
    visit = _locked(visit_id, by=by)
    if is_locked and visit.placement is None:
        raise ConflictError("a visit is locked where it was published, and this one has no place")
    visit.is_locked = is_locked
    _touch(visit, now=now)
    log.write("visit.lock", visit, by=by, now=now, job=visit.job, is_locked=is_locked)
    return visit


@transaction.atomic
def confirm(*, visit_id: UUID, by: Person, now: datetime) -> Visit:
    """The customer said yes to the published place.

    Raises
    ------
    ConflictError
        If nothing is published that they could say yes to.
    """
    visit = _locked(visit_id, by=by)
    if visit.placement is None:
        raise ConflictError("nothing is published that the customer could confirm")
    visit.customer_confirmed_at = now
    _touch(visit, now=now)
    log.write("visit.confirm", visit, by=by, now=now, job=visit.job)
    return visit


@transaction.atomic
def cancel(*, visit_id: UUID, by: Person, now: datetime) -> Visit:
    """Cancel a visit that has not ended.

    Raises
    ------
    ConflictError
        If it is cancelled or finished already.
    """
    visit = _locked(visit_id, by=by)
    if visit.cancelled_at or visit.finished_at:
        raise ConflictError("the visit is over already")
    withdraw(visit, now=now)
    visit.cancelled_at = now
    _touch(visit, now=now)
    trades.refill(visit.job_id)
    log.write("visit.cancel", visit, by=by, now=now, job=visit.job)
    return visit


def write(job: Job, entry: VisitEntry, *, where: str, now: datetime) -> Visit:
    """Write a visit's rows; `where` begins the pointers of what is wrong with it."""
    visit = Visit.objects.create(
        created_at=now,
        changed_at=now,
        job=job,
        kind=entry.kind,
        hands=entry.hands or 1,
        hands_are_set=entry.hands is not None,
        earliest_on=entry.earliest_on,
        due_on=entry.due_on,
    )
    visit.skills.set(_skills(entry.skills, where) or _usual_skills(entry.kind))
    _write_windows(visit, entry.windows, now=now)
    return visit


def withdraw(visit: Visit, *, now: datetime) -> None:
    """Take back the published place, if there is one; calendars and the customer are told."""
    placement = visit.placement
    if placement is None:
        return
    visit.sequence += 1
    visit.customer_confirmed_at = None
    visit.is_locked = False
    visit.save()
    placement.withdrawn_at = placement.changed_at = now
    placement.sequence = visit.sequence
    placement.save()
    hours.for_crews([visit.pk], now=now)
    visit.refresh_from_db(fields=HOURS)
    trades.refill(visit.job_id)
    messages.visit_withdrawn(visit=visit, placement=placement, now=now)


def _check_links(visit: Visit) -> None:
    """Refuse other visits that are none of the job's, or that lead back to this one."""
    for name in ("comes_after", "assists"):
        other: Visit | None = getattr(visit, name)
        if other is not None and other.job_id != visit.job_id:
            raise InvalidError({f"/{name}": "it must be another visit of the same job"})
        while other is not None:
            if other.pk == visit.pk:
                raise InvalidError({f"/{name}": "that visit waits for this one"})
            other = getattr(other, name)
    if visit.assists is not None and visit.assists.assists_id is not None:
        raise InvalidError({"/assists": "that visit lends a hand itself"})
    if visit.assists is not None and visit.assisted_by.exists():
        raise InvalidError({"/assists": "another visit lends a hand to this one"})
    if visit.earliest_on and visit.latest_on and visit.latest_on < visit.earliest_on:
        raise InvalidError({"/latest_on": f"{visit.latest_on} is before {visit.earliest_on}"})


def _locked(visit_id: UUID, *, by: Person) -> Visit:
    log.require(by, "visit.change")
    return visible_visits(by).select_for_update(of=("self",)).select_related("job").get(pk=visit_id)


def _touch(visit: Visit, *, now: datetime) -> None:
    visit.changed_at = now
    visit.version += 1
    visit.save()


def _pieces(job: Job, names: Iterable[str]) -> list[Piece]:
    wanted = list(names)
    found = list(job.pieces.filter(name__in=wanted))
    if missing := sorted(set(wanted) - {piece.name for piece in found}):
        raise InvalidError({"/pieces": f"job {job.number} has no piece {missing[0]}"})
    return found


def _usual_skills(kind: VisitKind) -> list[Skill]:
    """What a visit asks for that names no skill: templating, or installing."""
    code = "template" if kind is VisitKind.TEMPLATE else "install"
    return list(Skill.objects.filter(code=code))


def _skills(codes: Iterable[str], where: str) -> list[Skill]:
    wanted = set(codes)
    found = list(Skill.objects.filter(code__in=wanted))
    unknown = sorted(wanted - {skill.code for skill in found})
    if unknown:
        raise InvalidError({f"{where}/skills": f"there is no skill {unknown[0]}"})
    return found


def _write_windows(visit: Visit, windows: Iterable[WindowEntry], *, now: datetime) -> None:
    VisitWindow.objects.bulk_create(
        VisitWindow(
            created_at=now,
            visit=visit,
            on=window.on,
            starts_at=window.starts_at,
            ends_at=_after(window),
        )
        for window in windows
    )


def _after(window: WindowEntry) -> dt.time:
    if window.ends_at <= window.starts_at:
        raise InvalidError({"/windows": f"the window of {window.on} ends before it starts"})
    return window.ends_at
