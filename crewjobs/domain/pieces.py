"""Area, mass and centre of gravity of a piece.

Knows polygons and rounded rectangular holes; refuses to know how they are carried.
"""

from math import pi

from crewjobs.domain.facts import Cutout, Piece, Point

MM2_PER_M2 = 1e6


def polygon(outline_mm: tuple[Point, ...]) -> tuple[float, Point]:
    """The area in mm2 and the centroid of a simple polygon, whichever way it turns.

    Raises
    ------
    ValueError
        If the polygon encloses no area.

    References
    ----------
    The shoelace formula.

    Examples
    --------
    >>> polygon(((0, 0), (2000, 0), (2000, 600), (0, 600)))
    (1200000.0, (1000.0, 300.0))
    """
    twice = x = y = 0.0
    x0, y0 = outline_mm[0]  # relative to a corner: coordinates far from 0 lose no digits
    shifted = [(px - x0, py - y0) for px, py in outline_mm]
    for (ax, ay), (bx, by) in zip(shifted, shifted[1:] + shifted[:1], strict=True):
        cross = ax * by - bx * ay
        twice += cross
        x += (ax + bx) * cross
        y += (ay + by) * cross
    if abs(twice) < 1e-9:
        raise ValueError("the outline encloses no area")
    return abs(twice) / 2, (x0 + x / (3 * twice), y0 + y / (3 * twice))


def cutout_area_m2(cutout: Cutout) -> float:
    """The area that a hole with rounded corners takes away.

    References
    ----------
    ``w h - (4 - pi) r^2``.

    Examples
    --------
    >>> from crewjobs.domain.facts import CutoutKind
    >>> hole = Cutout(kind=CutoutKind.UNDERMOUNT_SINK, x_mm=0, y_mm=0, width_mm=760,
    ...               height_mm=420, corner_radius_mm=10)
    >>> round(cutout_area_m2(hole), 8)
    0.31911416
    """
    sharp = cutout.width_mm * cutout.height_mm
    return (sharp - (4 - pi) * cutout.corner_radius_mm**2) / MM2_PER_M2


def area_m2(piece: Piece) -> float:
    """The net area: the outline less its cutouts.

    Raises
    ------
    ValueError
        If the outline encloses no area, or the cutouts take all of it.

    Examples
    --------
    >>> area_m2(Piece(name="A", outline_mm=((0, 0), (2440, 0), (2440, 650), (0, 650)),
    ...               thickness_mm=30))
    1.586
    """
    gross, _ = polygon(piece.outline_mm)
    net = gross / MM2_PER_M2 - sum(cutout_area_m2(c) for c in piece.cutouts)
    if net <= 0:
        raise ValueError(f"piece {piece.name}: the cutouts leave no stone")
    return net


def mass_kg(piece: Piece) -> float:
    """The mass, from net area, thickness and density.

    Examples
    --------
    >>> round(mass_kg(Piece(name="A", outline_mm=((0, 0), (2440, 0), (2440, 650), (0, 650)),
    ...                     thickness_mm=30)), 3)
    114.192
    """
    return area_m2(piece) * piece.thickness_mm / 1000 * piece.density_kg_m3


def centre_of_gravity_mm(piece: Piece) -> Point:
    """Where the piece balances, in its own coordinates.

    Raises
    ------
    ValueError
        As :func:`area_m2`.

    Examples
    --------
    >>> legs = ((0, 0), (3000, 0), (3000, 650), (650, 650), (650, 2000), (0, 2000))
    >>> x, y = centre_of_gravity_mm(Piece(name="L", outline_mm=legs, thickness_mm=30))
    >>> round(x, 4), round(y, 4)
    (1135.3448, 635.3448)
    """
    gross_mm2, (x, y) = polygon(piece.outline_mm)
    net_m2 = area_m2(piece)
    gross_m2 = gross_mm2 / MM2_PER_M2
    holes = [(cutout_area_m2(c), c.x_mm, c.y_mm) for c in piece.cutouts]
    return (
        (gross_m2 * x - sum(area * cx for area, cx, _ in holes)) / net_m2,
        (gross_m2 * y - sum(area * cy for area, _, cy in holes)) / net_m2,
    )
