"""The narrow strips of stone beside a cutout: what bends them when the piece is lifted.

Knows a piece as a beam held at two places, laid flat or on edge, with one cutout at a time. It
refuses to know veins, cracks, twist, fatigue and repaired places: it warns, it certifies nothing.
Nobody carries a piece at the rail.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import inf

from crewjobs.domain.facts import Cutout, CutoutKind, Piece
from crewjobs.domain.limits import USUAL, Limits
from crewjobs.domain.outlines import reach_mm

GRAVITY_M_S2 = 9.80665
"""Standard gravity."""
FLAT_RAISER_FACTOR, EDGE_RAISER_FACTOR = 1.6, 1.75
"""At the cutout's corners: own finite elements found 1.28 to 1.38 flat, 1.15 to 1.66 on edge."""
LARGE = frozenset({CutoutKind.UNDERMOUNT_SINK, CutoutKind.DROP_IN_SINK, CutoutKind.COOKTOP})
"""Cutouts that leave rails."""
CAUTION = "never carry at the rail; the maker's data sheet comes first"
PLACES = 60


@dataclass(frozen=True, kw_only=True, slots=True)
class RailCheck:
    """The bending stress beside one cutout, and the safety factor it leaves."""

    flat_mpa: float
    edge_mpa: float
    flat_factor: float
    edge_factor: float
    front_mm: float
    back_mm: float
    limits: Limits = USUAL

    @property
    def is_narrow(self) -> bool:
        """Whether one of its rails is narrower than the shop's least."""
        return min(self.front_mm, self.back_mm) < self.limits.rail_least_mm

    @property
    def needs_stiffener(self) -> bool:
        """Whether a stiffener belongs across the cutout: every top is laid flat once, when set."""
        least = self.limits.rail_safety_factor
        return self.is_narrow or min(self.flat_factor, self.edge_factor) < least


@dataclass(frozen=True, kw_only=True, slots=True)
class _Beam:
    """A strip of stone with a hole, held at two places."""

    length_mm: float
    depth_mm: float
    front_mm: float
    back_mm: float
    thick_mm: float
    start_mm: float
    end_mm: float
    """Of the hole."""
    density_kg_m3: float
    grip_mm: float
    """From each end to where it is held."""

    def bending(self, x_mm: float) -> tuple[float, float]:
        """The moment in N mm and the shear force in N at a place."""
        weight, about = self._load(self.length_mm)
        right = (about - weight * self.grip_mm) / (self.length_mm - 2 * self.grip_mm)
        left = weight - right
        weight, about = self._load(x_mm)
        moment, shear = about - weight * x_mm, -weight
        for place, force in ((self.grip_mm, left), (self.length_mm - self.grip_mm, right)):
            if x_mm > place:
                moment += force * (x_mm - place)
                shear += force
        return moment, shear

    def _load(self, to_mm: float) -> tuple[float, float]:
        """The weight of the strip up to a place, and its moment about the strip's beginning."""
        pressure = self.density_kg_m3 * GRAVITY_M_S2 * self.thick_mm * 1e-9
        weight = pressure * self.depth_mm * to_mm
        about = weight * to_mm / 2
        if (high := min(to_mm, self.end_mm)) > self.start_mm:
            hole_mm = self.depth_mm - self.front_mm - self.back_mm
            gone = pressure * hole_mm * (high - self.start_mm)
            weight, about = weight - gone, about - gone * (high + self.start_mm) / 2
        return weight, about


def beside(
    piece: Piece, cutout: Cutout, *, grip_mm: float = 0.0, limits: Limits = USUAL
) -> RailCheck:
    """The stress in the rails beside a cutout while the piece is held at `grip_mm` from its ends.

    Raises
    ------
    ValueError
        If the grips meet, or the cutout leaves no rail.

    References
    ----------
    Flat: both rails bend together, ``6 M / ((f + b) t^2)``. On edge: the rails are the chords of a
    frame without diagonals, bent as a whole and each by its part of the shear force. Checked
    against own finite elements: the mean flat within 8 %.

    Examples
    --------
    >>> sink = Cutout(kind=CutoutKind.UNDERMOUNT_SINK, x_mm=1300, y_mm=305, width_mm=750,
    ...               height_mm=410)
    >>> top = Piece(name="A", outline_mm=((0, 0), (2600, 0), (2600, 648), (0, 648)),
    ...             thickness_mm=30, cutouts=(sink,))
    >>> round(beside(top, sink).flat_factor, 1), beside(top, sink, grip_mm=520).flat_factor > 5
    (1.3, True)
    """
    beam = _beam(piece, cutout, grip_mm)
    if min(beam.front_mm, beam.back_mm) <= 0 or 2 * grip_mm >= beam.length_mm:
        raise ValueError(f"piece {piece.name}: the {cutout.kind} leaves no rail, or the grips meet")
    flat, edge = (limits.shock_factor * each for each in _stresses(beam))
    return RailCheck(
        flat_mpa=flat,
        edge_mpa=edge,
        flat_factor=limits.strength_mpa / flat if flat else inf,
        edge_factor=limits.strength_mpa / edge if edge else inf,
        front_mm=beam.front_mm,
        back_mm=beam.back_mm,
        limits=limits,
    )


def _beam(piece: Piece, cutout: Cutout, grip_mm: float) -> _Beam:
    """The strip around a cutout; rails that were measured count as measured."""
    axis = along(piece, cutout)
    places = [point[axis] for point in piece.outline_mm]
    middle, wide = _span(cutout, axis)
    start, end = middle - wide / 2, middle + wide / 2
    near, far = reach_mm(piece.outline_mm, axis, start, end)
    across, high = _span(cutout, 1 - axis)
    front, back = cutout.front_rail_mm, cutout.back_rail_mm
    return _Beam(
        length_mm=max(places) - min(places),
        depth_mm=far - near,
        front_mm=across - high / 2 - near if front is None else front,
        back_mm=far - across - high / 2 if back is None else back,
        thick_mm=piece.thickness_mm,
        start_mm=start - min(places),
        end_mm=end - min(places),
        density_kg_m3=piece.density_kg_m3,
        grip_mm=grip_mm,
    )


def along(piece: Piece, cutout: Cutout) -> int:
    """The axis that the stone around a cutout runs along: where it is less deep, across it."""

    def depth(axis: int) -> tuple[float, int]:
        middle, wide = _span(cutout, axis)
        near, far = reach_mm(piece.outline_mm, axis, middle - wide / 2, middle + wide / 2)
        return far - near, axis

    return min(depth(0), depth(1))[1]


def _span(cutout: Cutout, axis: int) -> tuple[float, float]:
    return ((cutout.x_mm, cutout.width_mm), (cutout.y_mm, cutout.height_mm))[axis]


def _stresses(beam: _Beam) -> tuple[float, float]:
    """The largest stress flat and on edge, with the corners' stress raisers."""
    thick, rails = beam.thick_mm, (beam.front_mm, beam.back_mm)
    middles = beam.front_mm / 2, beam.depth_mm - beam.back_mm / 2
    parts = list(zip(rails, middles, strict=True))
    axis = sum(rail * at for rail, at in parts) / sum(rails)
    inertia = sum(thick * (rail**3 / 12 + rail * (at - axis) ** 2) for rail, at in parts)
    stiffness = sum(rail**3 for rail in rails)
    centre = (beam.start_mm + beam.end_mm) / 2
    flat = edge = 0.0
    for step in range(PLACES + 1):
        x = beam.start_mm + (beam.end_mm - beam.start_mm) * step / PLACES
        moment, shear = (abs(each) for each in beam.bending(x))
        at_corner = step in (0, PLACES)
        bent = 6 * moment / (sum(rails) * thick**2)
        flat = max(flat, bent * (FLAT_RAISER_FACTOR if at_corner else 1))
        for rail, at in parts:
            whole = moment * (abs(at - axis) + rail / 2) / inertia
            own = 6 * shear * rail**3 / stiffness * abs(x - centre) / (thick * rail**2)
            edge = max(edge, (whole + own) * (EDGE_RAISER_FACTOR if at_corner else 1))
    return flat, edge


GRIPS = tuple(share / 100 for share in range(5, 31))


@lru_cache(512)
def grip_mm(piece: Piece, *, limits: Limits = USUAL) -> float | None:
    """How far from each end the piece is best held when it is laid flat; None: no place is clear.

    Never on a rail, and no nearer to a cutout than the shop's limit.

    Examples
    --------
    >>> grip_mm(Piece(name="A", outline_mm=((0, 0), (2000, 0), (2000, 600), (0, 600)),
    ...               thickness_mm=30))
    400.0
    """
    axis = 0 if piece.length_mm >= piece.depth_mm else 1
    length = max(piece.length_mm, piece.depth_mm)
    start = min(point[axis] for point in piece.outline_mm)
    holes = [hole for hole in piece.cutouts if hole.kind in LARGE]
    spans = [_span(hole, axis) for hole in holes]

    def is_clear(grip_mm: float) -> bool:
        return not any(
            abs(place - middle) < wide / 2 + limits.grip_from_cutout_mm
            for place in (start + grip_mm, start + length - grip_mm)
            for middle, wide in spans
        )

    places = [share * length for share in GRIPS if is_clear(share * length)]
    if not holes:
        return 0.2 * length

    def least_factor(grip_mm: float) -> float:
        checks = (beside(piece, h, grip_mm=grip_mm, limits=limits) for h in holes)
        return min(each.flat_factor for each in checks)

    return max(places, key=least_factor, default=None)
