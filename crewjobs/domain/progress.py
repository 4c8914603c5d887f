"""What a visit's status reports add up to: begun, ended, how much is done, when it will be over.

Knows reports, the work of the visit and whom a late end pushes back. Reports may come twice, late
and in any order: the same set gives the same answer. Refuses to know the clock: an estimate moves
with reports alone.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

from crewjobs.domain.facts import CutoutKind, Report, ReportKind, Stage, VisitKind, Work
from crewjobs.domain.hours import Model, live
from crewjobs.domain.hours.steps import Visit

Part = tuple[ReportKind, str]
"""A report that moves the work on, and the piece or seam that it speaks of."""

WEIGHTS: Mapping[ReportKind, float] = {
    ReportKind.WALK_THROUGH_DONE: 1,
    ReportKind.PIECE_SET: 4,
    ReportKind.SEAM_POURED: 3,
    ReportKind.SINK_SET: 2,
    ReportKind.SILICONE_DONE: 2,
    ReportKind.CLEANED: 1,
    ReportKind.REVIEWED: 1,
}
"""How the parts of a visit compare in time. Common practice, not measured. Each piece, seam and
sink counts for itself: carrying and setting are most of the work."""

SINKS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK})
NAMED = frozenset({ReportKind.PIECE_SET, ReportKind.SEAM_POURED, ReportKind.SINK_SET})
ENDS = frozenset({ReportKind.REVIEWED, ReportKind.LEFT})
ELSEWHERE = frozenset({ReportKind.ON_THE_WAY, ReportKind.PHOTO, ReportKind.PROBLEM})
"""What a crew may report without being there."""

TIMED: Mapping[str, tuple[ReportKind, ReportKind]] = {
    "arrive": (ReportKind.ARRIVED, ReportKind.WALK_THROUGH_DONE),
}
"""Elements of the work that two reports time from start to end. Adhesive is not among them: that it
is hard is reported when somebody looks."""

LATE = timedelta(minutes=30)
"""How far past its published end a visit is worth a word to dispatch. Common practice."""

_ORDER = {kind: place for place, kind in enumerate(ReportKind)}


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """How a visit stands, as far as it was reported."""

    started_at: datetime | None = None
    """The first arrival, or the first report from the site where no arrival was reported."""
    finished_at: datetime | None = None
    """The last leaving; none while the crew is there, or there again."""
    done_share: float = 0.0
    actual_min: float | None = None
    """From arrived to left, over all stays; none where one of the two was not reported."""
    stage: Stage | None = None
    """The stage that the reports speak for; the job's guards may see it otherwise."""
    pieces_set: frozenset[str] = frozenset()
    is_no_go: bool = False
    """The crew found the site not ready and has not worked since."""
    problems: int = 0


def sinks(work: Work) -> tuple[str, ...]:
    """The pieces that take a sink."""
    return tuple(p.name for p in work.pieces if any(c.kind in SINKS for c in p.cutouts))


def derive(reports: Iterable[Report], *, kind: VisitKind, work: Work) -> Progress:
    """The progress that the reports of one visit add up to.

    Examples
    --------
    >>> from datetime import UTC
    >>> nine = datetime(2026, 6, 3, 9, tzinfo=UTC)
    >>> here = Report(client_id="1", kind=ReportKind.ARRIVED, happened_at=nine)
    >>> found = derive([here], kind=VisitKind.INSTALL, work=Work())
    >>> str(found.stage), f"{found.started_at:%H:%M}"
    ('on site', '09:00')
    """
    told = _in_order(reports)
    here = [report for report in told if report.kind not in ELSEWHERE]
    stays = _stays(here)
    started_at = stays[0][0] if stays else None
    finished_at = stays[-1][1] if stays else None
    parts = _parts(kind, work)
    done = _first_done(told, parts)
    is_over = _is_over(kind, work, here, done)
    done_share = sum(parts[part] for part in done) / (sum(parts.values()) or 1.0)
    if is_over and finished_at:
        done_share = 1.0
    return Progress(
        started_at=started_at,
        finished_at=finished_at,
        done_share=done_share,
        actual_min=_actual_min(here, stays),
        stage=_stage(kind, is_started=bool(stays), is_over=is_over),
        pieces_set=frozenset(name for what, name in done if what is ReportKind.PIECE_SET),
        is_no_go=_is_no_go(told, done),
        problems=sum(report.kind is ReportKind.PROBLEM for report in told),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Planned:
    """What was expected of a visit before it began."""

    starts_at: datetime | None
    p50_min: float
    p80_min: float


class Finish(NamedTuple):
    """When half of such visits are over, and four of five."""

    p50_at: datetime | None = None
    p80_at: datetime | None = None


def finish(
    reports: Iterable[Report], found: Progress, *, planned: Planned, visit: Visit, model: Model
) -> Finish:
    """When the visit will be over, by what is left to do at the pace of the day.

    Before anything is done, the start plus the whole hours; afterwards, the end itself. The clock
    moves nothing: two who have the same reports expect the same finish.
    """
    if found.finished_at:
        return Finish(found.finished_at, found.finished_at)
    starts_at = found.started_at or planned.starts_at
    if starts_at is None:
        return Finish()
    if not found.done_share:
        p50, p80 = timedelta(minutes=planned.p50_min), timedelta(minutes=planned.p80_min)
        return Finish(starts_at + p50, starts_at + p80)
    told = at_work(reports)
    left = live.finish(visit, reports=told, starts_at=starts_at, now=starts_at, model=model)
    return Finish(left.p50_at, left.p80_at)


def timed_min(reports: Iterable[Report]) -> dict[str, float]:
    """The minutes of the elements of the work that reports time by themselves.

    Examples
    --------
    >>> from datetime import UTC
    >>> nine = datetime(2026, 6, 3, 9, tzinfo=UTC)
    >>> told = [Report(client_id=kind, kind=kind, happened_at=nine + timedelta(minutes=after))
    ...         for kind, after in ((ReportKind.ARRIVED, 0), (ReportKind.WALK_THROUGH_DONE, 18))]
    >>> timed_min(told)
    {'arrive': 18.0}
    """
    first: dict[ReportKind, datetime] = {}
    for report in at_work(reports):
        first.setdefault(report.kind, report.happened_at)
    spans = {
        element: (first[end] - first[start]) / timedelta(minutes=1)
        for element, (start, end) in TIMED.items()
        if start in first and end in first
    }
    return {element: span_min for element, span_min in spans.items() if span_min > 0}


def at_work(reports: Iterable[Report]) -> tuple[Report, ...]:
    """The reports as if the crew had never left: earlier ones move up to where it came back.

    Examples
    --------
    >>> from datetime import UTC
    >>> nine = datetime(2026, 6, 3, 9, tzinfo=UTC)
    >>> told = [Report(client_id=str(hour), kind=kind, happened_at=nine + timedelta(hours=hour))
    ...         for hour, kind in enumerate([ReportKind.ARRIVED, ReportKind.LEFT,
    ...                                      ReportKind.ARRIVED])]
    >>> [f"{report.kind} {report.happened_at:%H:%M}" for report in at_work(told)]
    ['arrived 10:00', 'arrived 11:00']
    """
    told = _in_order(reports)
    stays = _stays([report for report in told if report.kind not in ELSEWHERE])
    gaps = [(left, back) for (_, left), (back, _) in pairwise(stays) if left]
    return tuple(
        replace(report, happened_at=report.happened_at + _absent(report.happened_at, gaps))
        for report in told
        if report.kind is not ReportKind.LEFT
    )


def _absent(at: datetime, gaps: Iterable[tuple[datetime, datetime]]) -> timedelta:
    """How long the crew was away after a moment, and came back."""
    return sum((back - max(left, at) for left, back in gaps if at < back), timedelta())


class Lateness(StrEnum):
    """How a running visit threatens those behind it."""

    LATE = "late"
    """More likely than not past its published end by more than is worth a word."""
    MAY_BE_LATE = "may be late"
    """More likely than not past it, and in one of five such visits by more than that."""


def lateness(
    ends_at: datetime, finish_p50_at: datetime, finish_p80_at: datetime
) -> Lateness | None:
    """How late a running visit is against its published end; None where nobody need know.

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 6, 3, 12, tzinfo=UTC)
    >>> str(lateness(noon, noon + timedelta(minutes=5), noon + timedelta(minutes=45)))
    'may be late'
    """
    if finish_p50_at > ends_at + LATE:
        return Lateness.LATE
    if finish_p50_at > ends_at and finish_p80_at > ends_at + LATE:
        return Lateness.MAY_BE_LATE
    return None


@dataclass(frozen=True, kw_only=True, slots=True)
class Behind:
    """A visit that the same crew has later on the day."""

    name: str
    starts_at: datetime
    drive_min: float
    spent_min: float
    """From its start to the end that half of such visits keep."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Shifted:
    """A visit that begins later than published because of one before it."""

    name: str
    expected_at: datetime


def shifted(finish_at: datetime, behind: Iterable[Behind]) -> Iterator[Shifted]:
    """The visits that a late finish pushes back, until a gap takes it up.

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 6, 3, 12, tzinfo=UTC)
    >>> two = Behind(name="two", starts_at=noon, drive_min=15, spent_min=60)
    >>> [f"{each.name} {each.expected_at:%H:%M}" for each in shifted(noon, [two])]
    ['two 12:15']
    """
    free_at = finish_at
    for visit in sorted(behind, key=lambda each: (each.starts_at, each.name)):
        expected_at = max(visit.starts_at, free_at + timedelta(minutes=visit.drive_min))
        if expected_at == visit.starts_at:
            return
        yield Shifted(name=visit.name, expected_at=expected_at)
        free_at = expected_at + timedelta(minutes=visit.spent_min)


Stay = tuple[datetime, datetime | None]


def _in_order(reports: Iterable[Report]) -> list[Report]:
    """Each report once, by its own time; at the same time, in the order of the work."""
    once: dict[str, Report] = {}
    for report in sorted(
        reports, key=lambda r: (r.happened_at, _ORDER[r.kind], r.about, r.client_id)
    ):
        once.setdefault(report.client_id, report)
    return list(once.values())


def _stays(here: Sequence[Report]) -> list[Stay]:
    """From each arrival to the last leaving before the next one."""
    is_told = any(report.kind is ReportKind.ARRIVED for report in here)
    stays: list[Stay] = []
    for report in here:
        is_away = not stays or stays[-1][1] is not None
        opens = report.kind is ReportKind.ARRIVED and is_away if is_told else not stays
        if opens:
            stays.append((report.happened_at, None))
        if report.kind is ReportKind.LEFT and stays:
            stays[-1] = (stays[-1][0], report.happened_at)
    return stays


def _parts(kind: VisitKind, work: Work) -> dict[Part, float]:
    """What there is to report, and how much each counts. Measuring is done once it is left."""
    if kind is VisitKind.TEMPLATE:
        return {}
    names = {
        ReportKind.PIECE_SET: tuple(piece.name for piece in work.pieces),
        ReportKind.SEAM_POURED: tuple(seam.name for seam in work.seams),
        ReportKind.SINK_SET: sinks(work),
    }
    return {
        (what, name): share for what, share in WEIGHTS.items() for name in names.get(what, [""])
    }


def _first_done(told: Iterable[Report], parts: Mapping[Part, float]) -> dict[Part, datetime]:
    """When each part was first reported. A seam that is hard has been poured."""
    done: dict[Part, datetime] = {}
    for report in told:
        what = ReportKind.SEAM_POURED if report.kind is ReportKind.SEAM_HARD else report.kind
        part = (what, report.about if what in NAMED else "")
        if part in parts:
            done.setdefault(part, report.happened_at)
    return done


def _is_over(
    kind: VisitKind, work: Work, here: Iterable[Report], done: Mapping[Part, datetime]
) -> bool:
    """Whether someone ended the visit after every piece was set: more reports never undo it."""
    if kind is VisitKind.TEMPLATE:
        return any(r.kind is ReportKind.LEFT for r in here) and not _is_no_go(here, done)
    placed = [done.get((ReportKind.PIECE_SET, piece.name)) for piece in work.pieces]
    return any(
        all(at is not None and at <= report.happened_at for at in placed)
        for report in here
        if report.kind in ENDS
    )


def _stage(kind: VisitKind, *, is_started: bool, is_over: bool) -> Stage | None:
    if kind is VisitKind.TEMPLATE:
        return Stage.TEMPLATED if is_over else None
    if is_over:
        return Stage.INSTALLED
    return Stage.ON_SITE if is_started else None


def _is_no_go(told: Iterable[Report], done: Mapping[Part, datetime]) -> bool:
    refused = [report.happened_at for report in told if report.kind is ReportKind.NO_GO]
    return bool(refused) and all(at <= max(refused) for at in done.values())


def _actual_min(here: Iterable[Report], stays: Sequence[Stay]) -> float | None:
    if not any(report.kind is ReportKind.ARRIVED for report in here):
        return None
    spans = [left - arrived if left else None for arrived, left in stays]
    whole = [span for span in spans if span is not None]
    return sum(whole, timedelta()) / timedelta(minutes=1) if len(whole) == len(spans) else None
