"""Status reports from the site: added, never changed, and what follows from them.

A report may come late, twice, out of order, or from a crew that no longer has the visit. It is
kept all the same, with a flag for dispatch; the visit's progress and the job's stage are derived
from all the reports there are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NotRequired, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.db.models import prefetch_related_objects

from crewjobs import snapshots
from crewjobs.actions import hours, log, messages, stages, stone, trades
from crewjobs.actions.errors import ActionError, ConflictError, InvalidError
from crewjobs.domain import progress
from crewjobs.domain.facts import HoldReason, Report, ReportKind, VisitKind, Work
from crewjobs.domain.hours import steps
from crewjobs.domain.progress import Finish, Planned, Progress
from crewjobs.models import Hold, Job, Person, Piece, Seam, StatusReport, Visit
from crewjobs.permissions import reportable_visits

AHEAD = timedelta(minutes=10)
"""How far a phone's clock may be ahead of ours. Common practice."""

STILL_NEWS = timedelta(minutes=60)
"""A crew that set out longer ago is no news to the customer. Common practice."""

STONE = ("pieces__cutouts", "pieces__supports", "seams__first", "seams__second", "route")
"""What the work of a visit is made of."""

OF_PIECES = frozenset({ReportKind.PIECE_SET, ReportKind.SINK_SET})
OF_SEAMS = frozenset({ReportKind.SEAM_POURED, ReportKind.SEAM_HARD})


class Told(TypedDict):
    """What a report says. `about` names a piece or seam; where there is one only, it may lack."""

    client_id: UUID
    kind: ReportKind
    happened_at: datetime
    about: NotRequired[str]
    note: NotRequired[str]


class Sent(Told):
    """One report of several, with the visit that it is about."""

    visit_id: UUID


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What became of one report of several: it is kept, or the error says why not."""

    client_id: UUID
    report: StatusReport | None = None
    error: ActionError | Visit.DoesNotExist | None = None


@transaction.atomic
def add(*, visit_id: UUID, by: Person, now: datetime, **told: Unpack[Told]) -> StatusReport:
    """Keep a report, once however often it is sent, and derive what follows.

    Raises
    ------
    Visit.DoesNotExist
        If there is none, or it never was this person's.
    InvalidError
        If it lies in the future, or names no piece or seam of the job where it must.
    ConflictError
        If another report was kept under the same id.
    """
    visit = locked_visit(visit_id, by=by)
    check_time("/happened_at", told["happened_at"], now)
    prefetch_related_objects([visit.job], *STONE)
    work = snapshots.work(visit.job, only=visit.pieces.all())
    content = _content(visit, work, told)
    row, is_new = StatusReport.objects.get_or_create(
        client_id=told["client_id"],
        defaults={"created_at": now, "visit": visit, "person": by, **content},
    )
    if not is_new:
        return _same(row, {"visit": visit, **content})
    flags = [*_oddities(visit, row, now), *_consequences(visit, work, row, now)]
    row.flag = "; ".join(flags)[:200]
    row.save(update_fields=["flag"])
    log.write("visit.report", visit, by=by, now=now, job=visit.job, kind=row.kind, flag=row.flag)
    return row


def add_many(*, by: Person, now: datetime, reports: Sequence[Sent]) -> tuple[Outcome, ...]:
    """Keep what a phone has gathered, in the order of its own times; one outcome for each."""
    found: dict[int, Outcome] = {}
    for place, sent in sorted(enumerate(reports), key=lambda pair: pair[1]["happened_at"]):
        found[place] = _outcome(sent, by=by, now=now)
    return tuple(found[place] for place in range(len(reports)))


def locked_visit(visit_id: UUID, *, by: Person) -> Visit:
    """The visit that this person may report on, for this transaction's use alone, with its job.

    Raises
    ------
    Visit.DoesNotExist
        If there is none, or it never was theirs.
    """
    log.require(by, "visit.report")
    job_id = reportable_visits(by).get(pk=visit_id).job_id
    job = Job.objects.select_for_update().get(pk=job_id)
    visit = Visit.objects.select_for_update().get(pk=visit_id)
    visit.job = job
    return visit


def check_time(pointer: str, at: datetime, now: datetime) -> None:
    """Refuse a time that no phone's clock explains.

    Raises
    ------
    InvalidError
        If it lies too far in the future.
    """
    if at > now + AHEAD:
        ahead = (at - now) / timedelta(minutes=1)
        most = AHEAD / timedelta(minutes=1)
        raise InvalidError({pointer: f"lies {ahead:.0f} minutes in the future, at most {most:.0f}"})


def _outcome(sent: Sent, *, by: Person, now: datetime) -> Outcome:
    try:
        return Outcome(client_id=sent["client_id"], report=add(by=by, now=now, **sent))
    except (ActionError, Visit.DoesNotExist) as error:
        return Outcome(client_id=sent["client_id"], error=error)


def _content(visit: Visit, work: Work, told: Told) -> dict[str, object]:
    kind = told["kind"]
    about = told.get("about") or _only_one(kind, work)
    piece, seam = _subject(visit.job, kind, about)
    return {
        "kind": kind,
        "happened_at": told["happened_at"],
        "piece": piece,
        "seam": seam,
        "note": told.get("note", ""),
    }


def _only_one(kind: ReportKind, work: Work) -> str:
    """The one piece or seam that a report can speak of; nothing where it need not name any."""
    names = {
        ReportKind.PIECE_SET: tuple(piece.name for piece in work.pieces),
        ReportKind.SINK_SET: progress.sinks(work),
        **dict.fromkeys(OF_SEAMS, tuple(seam.name for seam in work.seams)),
    }.get(kind)
    if names is None:
        return ""
    if len(names) != 1:
        raise InvalidError({"/about": f"say of which: {', '.join(names) or 'there is none'}"})
    return names[0]


def _subject(job: Job, kind: ReportKind, about: str) -> tuple[Piece | None, Seam | None]:
    if not about:
        return None, None
    piece = None if kind in OF_SEAMS else job.pieces.filter(name=about).first()
    seam = None if piece or kind in OF_PIECES else job.seams.filter(name=about).first()
    if piece is None and seam is None:
        raise InvalidError({"/about": f"job {job.number} has no such piece or seam: {about}"})
    return piece, seam


def _same(row: StatusReport, content: dict[str, object]) -> StatusReport:
    differ = sorted(name for name, value in content.items() if getattr(row, name) != value)
    if differ:
        raise ConflictError(f"report {row.client_id} is kept already, with another {differ[0]}")
    return row


def _oddities(visit: Visit, row: StatusReport, now: datetime) -> list[str]:
    """What dispatch should know of the report itself."""
    place, crew_id = visit.placement, row.person.crew_id
    is_theirs = crew_id is None or (place is not None and place.crew_id == crew_id)
    held = visit.job.holds.filter(released_at__isnull=True).values_list("reason", flat=True)
    odd = {
        "the visit was cancelled": visit.cancelled_at is not None,
        "the visit is no longer this crew's": not is_theirs,
        "the phone's clock is ahead": row.happened_at > now,
        f"the job is on hold: {', '.join(held)}": row.kind == ReportKind.ARRIVED and bool(held),
    }
    return [text for text, is_so in odd.items() if is_so]


def _consequences(visit: Visit, work: Work, row: StatusReport, now: datetime) -> list[str]:
    """Bring visit and job to where the reports have come; why the job does not follow."""
    found = derive_anew(visit, work, now=now)
    refused = stages.follow(visit.job, found.stage, by=row.person, now=now) if found.stage else ()
    trades.refill(visit.job_id)
    if row.kind == ReportKind.NO_GO:
        _hold(visit.job, row, now=now)
    if _is_news(visit, row, now):
        messages.on_the_way(visit=visit, now=now)
    return [finding.message for finding in refused]


def derive_anew(visit: Visit, work: Work, *, now: datetime) -> Progress:
    """The progress of a locked visit by the reports that stand, written to its row."""
    prefetch_related_objects([visit], "reports__piece", "reports__seam", "placements__crew")
    told = snapshots.visit_reports(visit)
    found = progress.derive(told, kind=VisitKind(visit.kind), work=work)
    finish = _finish(visit, work, told, found) if told else Finish()
    _store(visit, found, finish, now=now)
    return found


def _finish(visit: Visit, work: Work, told: Sequence[Report], found: Progress) -> Finish:
    model = hours.model_of(visit, snapshots.shop())
    place = visit.placement
    planned = Planned(
        starts_at=place.starts_at if place else None,
        p50_min=visit.p50_min,
        p80_min=visit.p80_min,
    )
    on_site = steps.Visit(
        kind=VisitKind(visit.kind),
        work=work,
        team=snapshots.team(visit),
        carrier_kg=model.carrier_kg,
    )
    return progress.finish(told, found, planned=planned, visit=on_site, model=model)


def _store(visit: Visit, found: Progress, finish: Finish, *, now: datetime) -> None:
    derived = {
        "started_at": found.started_at,
        "finished_at": found.finished_at,
        "progress_share": found.done_share,
        "live_finish_at": finish.p50_at,
        "live_finish_p80_at": finish.p80_at,
        "actual_min": found.actual_min,
    }
    if all(getattr(visit, name) == value for name, value in derived.items()):
        return
    for name, value in derived.items():
        setattr(visit, name, value)
    visit.changed_at = now
    visit.version += 1
    visit.save()


def _hold(job: Job, row: StatusReport, *, now: datetime) -> None:
    """Hold a job whose site is not ready; somebody in the office releases it."""
    _, is_new = Hold.objects.get_or_create(
        job=job,
        reason=HoldReason.SITE_NOT_READY,
        released_at=None,
        defaults={"created_at": now, "placed_by": row.person, "note": row.note[:400]},
    )
    if is_new:
        stone.touch(job, now=now)
        reason = HoldReason.SITE_NOT_READY
        log.write("job.hold", job, by=row.person, now=now, job=job, reason=reason)


def _is_news(visit: Visit, row: StatusReport, now: datetime) -> bool:
    """Whether the customer still waits for a crew that has just set out."""
    is_fresh = row.kind == ReportKind.ON_THE_WAY and now - row.happened_at <= STILL_NEWS
    place = visit.placement
    is_theirs = place is not None and row.person.crew_id in (None, place.crew_id)
    return is_fresh and is_theirs and visit.started_at is None and visit.cancelled_at is None
