"""When a licensed trade may connect at the earliest: adhesive and silicone have cured by then.

Knows what was reported, when visits end, and the shop's limits; the maker's sheet comes first.
Refuses to know whether a joint is tight: the trade that connects looks at it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from crewjobs.domain.adhesives import sheet_of, time_factor
from crewjobs.domain.facts import CutoutKind, Report, ReportKind, Seam, Work
from crewjobs.domain.limits import USUAL, Limits

SINKS = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK})

CAUTION = (
    "At the earliest, by the shop's own limits: the maker's data sheets of adhesive and silicone "
    "and local codes come first, and the licensed trade that connects decides"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class OnSite:
    """One visit, as far as something cures because of it."""

    reports: tuple[Report, ...] = ()
    does_all: bool = True
    """What it does not report is done by its end; otherwise it does only what it reports."""
    ends_at: datetime | None = None
    """When it ended, or will; None where nobody knows."""
    is_over: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Cured:
    """When the adhesive and the silicone of a job have cured."""

    silicone_at: datetime
    adhesive_at: datetime | None = None
    """None where there is neither a seam nor a sink to hold."""
    is_foretold: bool = False
    """A visit is still to come, or not over: its reports will tell it better."""

    @property
    def earliest_at(self) -> datetime:
        """When both have."""
        return max(self.silicone_at, self.adhesive_at or self.silicone_at)


def cured(work: Work, visits: Sequence[OnSite], *, limits: Limits = USUAL) -> Cured | None:
    """When all has cured that the visits bond and seal; None where nobody can tell yet.

    What is reported counts from its report, the last one where there are several; the rest counts
    from the end of the last visit.

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 6, 3, 12, tzinfo=UTC)
    >>> told = cured(Work(), [OnSite(ends_at=noon)])
    >>> f"{told.earliest_at:%d %H:%M}", told.is_foretold, cured(Work(), [OnSite()])
    ('04 12:00', True, None)
    """
    silicone = list(_silicone(visits))
    known = [at for at in silicone if at is not None]
    if not known or len(known) < len(silicone):
        return None
    adhesive = list(_adhesive(work, visits, limits))
    bonded = [at for at in adhesive if at is not None]
    if len(bonded) < len(adhesive):
        return None
    return Cured(
        silicone_at=max(known) + timedelta(minutes=silicone_min(work.temperature_deg_c, limits)),
        adhesive_at=max(bonded, default=None),
        is_foretold=any(visit.does_all and not visit.is_over for visit in visits),
    )


def silicone_min(temperature_deg_c: float, limits: Limits = USUAL) -> float:
    """How long silicone cures before water comes to it.

    Examples
    --------
    >>> silicone_min(20), silicone_min(5)
    (1440.0, 2880.0)
    """
    is_cold = temperature_deg_c < limits.cold_deg_c
    return max(limits.silicone_cure_min, limits.silicone_cold_min if is_cold else 0.0)


def sink_min(temperature_deg_c: float, limits: Limits = USUAL) -> float:
    """How long a sink is held before it is loaded: longer in the cold, never shorter in the heat.

    Examples
    --------
    >>> sink_min(30), sink_min(10)
    (1440.0, 2880.0)
    """
    return limits.sink_hold_min * max(1.0, _slower_factor(temperature_deg_c, limits))


def _silicone(visits: Iterable[OnSite]) -> Iterator[datetime | None]:
    """When the silicone of each visit that has any was done."""
    for visit in visits:
        told_at = _last(visit.reports, {ReportKind.SILICONE_DONE})
        if told_at or visit.does_all:
            yield told_at or visit.ends_at


def _adhesive(work: Work, visits: Sequence[OnSite], limits: Limits) -> Iterator[datetime | None]:
    """When each seam is hard and each sink may be loaded."""
    told = [report for visit in visits for report in visit.reports]
    end_at = _end(visits)
    for seam in work.seams:
        yield _hard_at(seam, told, end_at, work.temperature_deg_c, limits)
    hold = timedelta(minutes=sink_min(work.temperature_deg_c, limits))
    for name in _sinks_on_site(work):
        held_at = _last(told, {ReportKind.SINK_SET}, name) or end_at
        yield held_at + hold if held_at else None


def _hard_at(
    seam: Seam,
    told: Sequence[Report],
    end_at: datetime | None,
    temperature_deg_c: float,
    limits: Limits,
) -> datetime | None:
    """When a seam is hard: as somebody saw, else as long after it was poured as the limits say."""
    poured_at = _last(told, {ReportKind.SEAM_POURED}, seam.name)
    seen_at = _last(told, {ReportKind.SEAM_HARD}, seam.name)
    if seen_at and (poured_at is None or seen_at >= poured_at):
        return seen_at
    from_at = poured_at or end_at
    sheet = sheet_of(seam.method, limits)
    hard = timedelta(minutes=sheet.hard_min * time_factor(sheet, temperature_deg_c))
    return from_at + hard if from_at else None


def _slower_factor(temperature_deg_c: float, limits: Limits) -> float:
    return float(2 ** ((20.0 - temperature_deg_c) / limits.halves_every_deg_c))


def _sinks_on_site(work: Work) -> tuple[str, ...]:
    """The pieces that get a sink on site."""
    return tuple(
        piece.name
        for piece in work.pieces
        if any(cut.kind in SINKS and not cut.is_set_in_shop for cut in piece.cutouts)
    )


def _end(visits: Iterable[OnSite]) -> datetime | None:
    """When the last visit that does all ends; None where one's end is not known."""
    ends = [visit.ends_at for visit in visits if visit.does_all]
    known = [at for at in ends if at is not None]
    return max(known) if known and len(known) == len(ends) else None


def _last(told: Iterable[Report], kinds: set[ReportKind], about: str = "") -> datetime | None:
    return max(
        (r.happened_at for r in told if r.kind in kinds and r.about in (about, "")), default=None
    )
