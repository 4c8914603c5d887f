"""A job's way in as its page tells it: what geometry says of each piece, and of hands.

Words only; it judges nothing itself.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import isfinite

from crewjobs.domain import access, carrying, drawings, lifting
from crewjobs.domain.carrying import Admitted, Carried, CarryIn
from crewjobs.domain.facts import Job, RouteElement
from crewjobs.models import Shop
from crewjobs.web.drawings import OnPage, on_page
from crewjobs.web.wording import extent

METHODS = {
    "The shop's rule": lifting.SHOP_NOT_COVERED,
    "Guideline": lifting.GUIDELINE_NOT_COVERED,
    "Lifting index": lifting.EQUATION_NOT_COVERED,
}
"""What each number of hands does not cover."""

DRAWN = frozenset({access.Answer.TILTED, access.Answer.TOO_LONG})
"""The answers that are drawn, however much room there is."""

SHOWN = frozenset({"width_mm", "height_mm", "length_mm"})
"""The sizes of the way in that have their own columns."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CarriedRow:
    """One piece in words."""

    name: str
    answer: str
    details: str
    hands: lifting.Hands


@dataclass(frozen=True, kw_only=True, slots=True)
class WayIn:
    """The whole way in, in words."""

    rows: tuple[CarriedRow, ...]
    longest: str
    missing: tuple[str, ...]
    clearances: str
    people: int
    pitch_deg: float
    is_pitch_missing: bool
    asks_for_aid: bool
    pictures: tuple[OnPage, ...] = ()
    """The tightest place of each piece that is tight, tilted or stuck."""
    caution: str = carrying.CAUTION
    aid_index: float = lifting.AID_INDEX

    @property
    def methods(self) -> dict[str, str]:
        """What each number of hands does not cover."""
        return METHODS


def way_in(job: Job, shop: Shop) -> WayIn:
    """What the page tells of carrying a job in, with its drawings."""
    found = carrying.carry_in(job)
    pictures = tuple(_pictures(job, found.pieces, shop))
    return replace(in_words(job, found, shop), pictures=pictures)


def in_words(job: Job, found: CarryIn, shop: Shop) -> WayIn:
    """The same of what is computed already, without drawings."""
    missing = {each for carried in found.pieces for each in carried.verdict.missing}
    return WayIn(
        rows=tuple(_row(carried, shop) for carried in found.pieces),
        longest=_longest(found.admitted, shop) if found.admitted else "",
        missing=tuple(sorted(_plain(each) for each in missing)),
        clearances=str(job.clearances),
        people=found.people,
        pitch_deg=found.pitch_deg,
        is_pitch_missing=found.is_pitch_missing,
        asks_for_aid=any(carried.hands.asks_for_aid for carried in found.pieces),
    )


def _pictures(job: Job, found: Iterable[Carried], shop: Shop) -> Iterator[OnPage]:
    """The tightest places that are worth a look, for pieces that do not simply fit."""
    for carried in found:
        piece, verdict = carried.piece, carried.verdict
        if verdict.answer not in DRAWN and not verdict.measure_again:
            continue
        picture = partial(drawings.tightest, piece, job.work.route, verdict)
        drawn = on_page(picture, shop, f"tightest {piece.name}")
        if drawn:
            yield drawn


def more_sizes(element: RouteElement, shop: Shop) -> str:
    """What was measured of an element beside its width, height and length."""
    known = ((name, getattr(element, name)) for name in RouteElement.sizes() if name not in SHOWN)
    return ", ".join(
        f"{_plain(name)} {f'{value:g}°' if name.endswith('_deg') else extent(value, shop)}"
        for name, value in known
        if value is not None
    )


def _row(carried: Carried, shop: Shop) -> CarriedRow:
    return CarriedRow(
        name=carried.piece.name,
        answer=str(carried.verdict.answer),
        details="; ".join(_details(carried.verdict, shop)),
        hands=carried.hands,
    )


def _details(verdict: access.Verdict, shop: Shop) -> Iterator[str]:
    """Where it is decided, by how much, and what could be done."""
    for tilt in verdict.tilts:
        yield f"{tilt.tilt} of {tilt.tilt_deg:.0f}° at {tilt.name}"
    if verdict.tightest and isfinite(verdict.margin_mm):
        size = extent(abs(verdict.margin_mm), shop)
        left = "to spare" if verdict.margin_mm >= 0 else "too much"
        known = "of what is measured, " if verdict.missing else ""
        yield f"{known}tightest at {verdict.tightest.name}, {size} {left}"
    if verdict.seams_mm:
        places = ", ".join(extent(place, shop) for place in verdict.seams_mm)
        along = "depth" if verdict.is_cut_across_depth else "length"
        yield f"would pass with a seam at {places} along its {along}"
    if verdict.measure_again:
        yield "measure again"


def _longest(admitted: Admitted, shop: Shop) -> str:
    """The longest piece as deep as the deepest; silent where no element bounds it."""
    longest = admitted.longest
    ways = (("level", longest.level_mm, longest.level_at),
            ("tilted", longest.tilted_mm, longest.tilted_at))  # fmt: skip
    bounds = [f"{extent(mm, shop)} {how} ({at})" for how, mm, at in ways if isfinite(mm)]
    if not bounds:
        return ""
    doubt = "; what is not measured may allow less" if longest.missing else ""
    depth = extent(admitted.depth_mm, shop)
    return f"The longest piece {depth} deep that goes in: {', '.join(bounds)}{doubt}."


def _plain(missing: str) -> str:
    """Names of measures as words: `landing 3: width_mm, turn_deg` is `landing 3: width, turn`."""
    return re.sub(r"_(mm|deg)\b", "", missing).replace("_", " ")
