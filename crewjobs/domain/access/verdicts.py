"""What is said of a piece on a way in: fits, fits only tilted, does not fit, or not measured."""

from dataclasses import dataclass
from enum import StrEnum
from math import inf

from crewjobs.domain.access.elements import NOTHING, Limit, Searched, limits
from crewjobs.domain.access.parts import proposals, sizes_mm
from crewjobs.domain.clearances import Clearances
from crewjobs.domain.facts import Piece, RouteElement
from crewjobs.domain.limits import USUAL


class Answer(StrEnum):
    """Whether a piece goes in, within the clearances."""

    FITS = "fits"
    TILTED = "fits only tilted"
    TOO_LONG = "does not fit"
    NOT_MEASURED = "not measured"
    NOTHING_MEASURED = "nothing measured"
    """No element has a size that could stop a piece: that says nothing of whether it fits."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Verdict:
    """The answer for one piece, its tightest element, and what could be done."""

    piece: str
    answer: Answer
    limits: tuple[Limit, ...]
    clearances: Clearances
    tightest: Limit | None = None
    """None on a way without elements."""
    margin_mm: float = inf
    """At the tightest element; below 0 the piece is so much too long, too high or too thick."""
    level_mm: float = inf
    tilted_mm: float = inf
    tilts: tuple[Limit, ...] = ()
    """Where it has to be tilted."""
    missing: tuple[str, ...] = ()
    parts_mm: tuple[tuple[float, float], ...] = ()
    """Length and depth of parts that do pass, where the whole does not."""
    seams_mm: tuple[float, ...] = ()
    """Where they part, in the piece's own coordinates."""
    is_cut_across_depth: bool = False
    """The seams run lengthwise: their places are along y."""

    @property
    def measure_again(self) -> bool:
        """Whether the margin is too small to rely on one measurement."""
        return abs(self.margin_mm) < self.clearances.measure_again_mm

    def __str__(self) -> str:
        said = f"{self.answer}{self._where()}"
        if self.measure_again:
            said += "; measure again"
        if self.missing:
            said += f"; not measured: {', '.join(self.missing)}"
        return f"{said} (clearances: {self.clearances})"

    def _where(self) -> str:
        if self.tightest is None or self.margin_mm == inf:
            return ""
        at = self.tightest.name
        if self.answer is Answer.TOO_LONG:
            return f" at {at}, {-self.margin_mm:.0f} mm too much{self._cut()}"
        tilts = [f"{each.tilt} of {each.tilt_deg:.0f} deg at {each.name}" for each in self.tilts]
        return (
            "".join(f", {tilt}" for tilt in tilts) + f"; tightest at {at}, {self.margin_mm:.0f} mm"
        )

    def _cut(self) -> str:
        if not self.seams_mm:
            return ", no seam was found that helps"
        along = "depth" if self.is_cut_across_depth else "length"
        places = ", ".join(f"{place:.0f} mm" for place in self.seams_mm)
        return f", passes in {len(self.parts_mm)} parts with a seam at {places} along its {along}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Longest:
    """The longest piece that a way in admits, and where that is decided."""

    level_mm: float
    level_at: str
    tilted_mm: float
    tilted_at: str
    missing: tuple[str, ...] = ()
    """What was not measured: the true figure may be smaller."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """A way in with all that its limits are counted by."""

    route: tuple[RouteElement, ...]
    clearances: Clearances
    searched: Searched

    def limits(self, high_mm: float, thick_mm: float) -> tuple[Limit, ...]:
        """The limit of each element, for a piece of this height on edge."""
        return limits(self.route, high_mm, thick_mm, self.clearances, self.searched)


def longest_piece(
    route: tuple[RouteElement, ...],
    depth_mm: float,
    *,
    thickness_mm: float = 30.0,
    clearances: Clearances | None = None,
    searched: Searched = NOTHING,
) -> Longest:
    """The longest piece of this depth that the way in admits, so that seams are placed in time.

    Examples
    --------
    >>> from crewjobs.domain.facts import RouteKind
    >>> landing = RouteElement(kind=RouteKind.LANDING, width_mm=914, depth_mm=914, height_mm=2438,
    ...                        turn_deg=90, pitch_deg=37)
    >>> round(longest_piece((landing,), 648).level_mm)
    2212
    """
    found = limits(route, depth_mm, thickness_mm, clearances or Clearances(), searched)
    level = min(found, key=lambda each: each.level_mm, default=None)
    tilted = min(found, key=lambda each: each.tilted_mm, default=None)
    return Longest(
        level_mm=level.level_mm if level else inf,
        level_at=level.name if level else "",
        tilted_mm=tilted.tilted_mm if tilted else inf,
        tilted_at=tilted.name if tilted else "",
        missing=_missing(found),
    )


def check(
    piece: Piece,
    route: tuple[RouteElement, ...],
    clearances: Clearances | None = None,
    *,
    from_cutout_mm: float = USUAL.part_from_cutout_mm,
    searched: Searched = NOTHING,
) -> Verdict:
    """What can be said of a piece on a way in, carried on edge by its longer side.

    An outline that is no rectangle counts as its bounding box.

    Examples
    --------
    >>> from crewjobs.domain.facts import RouteKind
    >>> corner = RouteElement(kind=RouteKind.TURN, name="hall corner", width_mm=914, depth_mm=914,
    ...                       height_mm=2438, turn_deg=90)
    >>> top = Piece(name="A", outline_mm=((0, 0), (2500, 0), (2500, 648), (0, 648)),
    ...             thickness_mm=30)
    >>> print(check(top, (corner,)).answer)
    fits only tilted
    """
    kept = clearances or Clearances()
    length, high = max(piece.length_mm, piece.depth_mm), min(piece.length_mm, piece.depth_mm)
    way = Way(route=route, clearances=kept, searched=searched)
    found = way.limits(high, piece.thickness_mm)
    answer = _answer(length, found)
    tightest, margin = _tightest(length, found)
    axis, seams, parts = _WHOLE
    if answer is Answer.TOO_LONG:
        axis, seams, parts = _parted(piece, way, from_cutout_mm)
    return Verdict(
        piece=piece.name,
        answer=answer,
        limits=found,
        clearances=kept,
        tightest=tightest,
        margin_mm=margin,
        level_mm=min((each.level_mm for each in found), default=inf),
        tilted_mm=min((each.tilted_mm for each in found), default=inf),
        tilts=tuple(e for e in found if e.level_mm < length <= e.tilted_mm),
        missing=_missing(found),
        parts_mm=parts,
        seams_mm=seams,
        is_cut_across_depth=axis == 1,
    )


def _answer(length_mm: float, found: tuple[Limit, ...]) -> Answer:
    if any(length_mm > each.tilted_mm for each in found):
        return Answer.TOO_LONG
    if any(each.missing for each in found):
        return Answer.NOT_MEASURED
    if all(min(each.level_mm, each.spare_mm) == inf for each in found):
        return Answer.NOTHING_MEASURED
    return Answer.TILTED if any(length_mm > each.level_mm for each in found) else Answer.FITS


def _missing(found: tuple[Limit, ...]) -> tuple[str, ...]:
    return tuple(f"{each.name}: {', '.join(each.missing)}" for each in found if each.missing)


def _tightest(length_mm: float, found: tuple[Limit, ...]) -> tuple[Limit | None, float]:
    """The element with the least room, and that room: in length, or in height or width."""

    def room_mm(limit: Limit) -> float:
        if limit.spare_mm < 0:
            return limit.spare_mm
        is_tilted = limit.level_mm < length_mm
        along = (limit.tilted_mm if is_tilted else limit.level_mm) - length_mm
        return min(along, limit.spare_mm)

    tightest = min(found, key=room_mm, default=None)
    return tightest, room_mm(tightest) if tightest else inf


_Parted = tuple[int, tuple[float, ...], tuple[tuple[float, float], ...]]
_WHOLE: _Parted = (0, (), ())


def _parted(piece: Piece, way: Way, from_cutout_mm: float) -> _Parted:
    """The first proposal of which every part passes; none, if none does."""
    for axis, seams in proposals(piece, from_cutout_mm):
        parts = sizes_mm(piece, seams, axis)
        known = {high: way.limits(high, piece.thickness_mm) for high in {high for _, high in parts}}
        if all(_answer(long, known[high]) is not Answer.TOO_LONG for long, high in parts):
            return axis, seams, parts
    return _WHOLE
