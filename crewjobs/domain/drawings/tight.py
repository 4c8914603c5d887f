"""The tightest place of a piece's way in, with the piece where it is tightest, and the margin."""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, hypot, inf, isfinite, radians

from crewjobs.domain.access import Answer, Limit, Verdict, elements
from crewjobs.domain.drawings import doors, places
from crewjobs.domain.drawings.layouts import overlaps
from crewjobs.domain.drawings.places import Plate, Scene
from crewjobs.domain.drawings.shapes import (
    Drawing,
    Lettering,
    Line,
    Polygon,
    Role,
    Shape,
    Words,
    measured,
)
from crewjobs.domain.drawings.sheets import arranged, on_sheet, reach_mm, written
from crewjobs.domain.facts import Piece, RouteElement, RouteKind

FREE = "as it is drawn it is free: on the way into this place it is not"
SEARCHED = "the pose that lets it in is another than the one drawn"
SAME_MM = 0.01
SECTION_FACTOR = 1.6
"""A cross-section shows little: it is drawn so much smaller."""


def tightest(
    piece: Piece, route: tuple[RouteElement, ...], verdict: Verdict, lettering: Lettering
) -> Drawing | None:
    """The tightest place with the piece in it; None where nothing bounds it or it was not measured.

    The pose is that of the model that decides: level, or tilted as the verdict says.
    """
    limit = verdict.tightest
    if limit is None or not isfinite(verdict.margin_mm):
        return None
    plate = _plate(piece, limit, verdict)
    scenes = _scenes(route, verdict, limit, plate)
    letter_mm = lettering.high_mm(max(_size_mm(scene) for scene in scenes))
    views = [_view_of(scene, lettering, letter_mm) for scene in scenes]
    shapes = arranged(views, letter_mm, is_narrow=lettering.is_narrow)
    said = list(_said(piece, limit, verdict, plate, lettering))
    said += [(each, Role.NOTE) for each in _decided(route, verdict, limit)]
    touches = any(_touches(scene) for scene in scenes)
    if touches != (verdict.margin_mm < 0):
        said.append((SEARCHED if touches else FREE, Role.WARNING))
    (left, low), (right, _) = reach_mm(shapes, letter_mm)
    shapes += written(said, (left, low - letter_mm / 2), right - left, letter_mm)
    return on_sheet(
        shapes,
        letter_mm=letter_mm,
        title=f"Piece {piece.name} at {limit.name}",
        description=" ".join(f"{each[0].upper()}{each[1:]}." for each, _ in said),
    )


def _plate(piece: Piece, limit: Limit, verdict: Verdict) -> Plate:
    long, high = sorted((piece.length_mm, piece.depth_mm), reverse=True)
    is_tilted = limit.level_mm < long
    return Plate(
        long_mm=long,
        high_mm=high,
        thick_mm=piece.thickness_mm,
        clearances=verdict.clearances,
        pitch_deg=limit.tilt_deg if is_tilted and limit.tilt == "pitch" else 0.0,
        lean_deg=limit.tilt_deg if is_tilted and limit.tilt == "lean" else 0.0,
    )


def _scenes(
    route: tuple[RouteElement, ...], verdict: Verdict, limit: Limit, plate: Plate
) -> list[Scene]:
    """The views that show what decides: the cross-section, or the plan with its pitch."""
    place = verdict.limits.index(limit)
    if place >= len(route):
        return [_leg(route, limit, plate)]
    element = route[place]
    if verdict.margin_mm == limit.spare_mm:
        return [places.opening(*_section_mm(element), plate)]
    return [_view(element, plate), *_side_views(element, plate)]


def _side_views(element: RouteElement, plate: Plate) -> Iterator[Scene]:
    """What decides in height beside the plan: the pitch of the piece, or of the flights."""
    if element.height_mm is None:
        return
    if element.kind is RouteKind.LANDING:
        pitched = replace(plate, pitch_deg=element.pitch_deg or 0.0)
        yield places.under_a_ceiling(element.height_mm, pitched)
    elif plate.pitch_deg:
        yield places.under_a_ceiling(element.height_mm, plate)


def _known(element: RouteElement) -> dict[str, float]:
    """What was measured of an element."""
    sizes = {name: getattr(element, name) for name in RouteElement.sizes()}
    return {name: value for name, value in sizes.items() if value is not None}


def _view(element: RouteElement, plate: Plate) -> Scene:
    known = _known(element)
    if elements.is_side_door(element):
        return doors.side_door(known, plate)
    if element.kind is RouteKind.STAIRS:
        return places.stairs(element, plate)
    if element.kind is RouteKind.LANDING:
        return places.landing(element, plate)
    if element.kind is RouteKind.LIFT:
        return doors.lift(known, plate)
    if element.kind is RouteKind.TURN:
        turn_deg = known["turn_deg"]
        return places.corner(known["width_mm"], known["depth_mm"], turn_deg, plate)
    return places.opening(*_section_mm(element), plate)


def _section_mm(element: RouteElement) -> tuple[float, float]:
    """The width and height that the cross-section of a piece has to pass."""
    width, height = element.width_mm or inf, element.height_mm or inf
    if elements.is_side_door(element):
        width = min(width, element.hall_mm or inf)
    if element.kind in elements.TURNING:
        width = min(width, element.depth_mm or inf)
    if element.kind is RouteKind.STAIRS:
        height = min(height, (element.headroom_mm or inf) * cos(radians(element.pitch_deg or 0.0)))
    if element.kind is RouteKind.LIFT:
        width, height = element.door_mm or inf, min(height, element.door_height_mm or inf)
    return width, height


def _leg(route: tuple[RouteElement, ...], limit: Limit, plate: Plate) -> Scene:
    """Between two turns: the leg's outer length, that the model took."""
    leg_mm = limit.level_mm + 2 * plate.clearances.end_mm
    width_mm = max(4 * plate.strip_mm[1], 0.25 * leg_mm)
    widths = [each.width_mm for each in route if each.kind is RouteKind.HALL and each.width_mm]
    return places.leg(leg_mm, min(widths, default=width_mm), plate)


def _size_mm(scene: Scene) -> float:
    spots = [spot for shape in (*scene.walls, scene.carried) for spot in shape]
    size_mm = max(max(s[axis] for s in spots) - min(s[axis] for s in spots) for axis in (0, 1))
    return size_mm * (SECTION_FACTOR if scene.view == places.ALONG else 1.0)


def _drawn(scene: Scene, lettering: Lettering, letter_mm: float) -> Iterator[Shape]:
    yield from (Polygon(corners_mm=wall, role=Role.WALL) for wall in scene.walls)
    if scene.steps:
        yield Line(points_mm=scene.steps, role=Role.STEP)
    drawn = [
        measured(
            start, end, lettering.extent(hypot(end[0] - start[0], end[1] - start[1])), letter_mm
        )
        for start, end in scene.measures
    ]
    yield from (line for *lines, _ in drawn for line in lines)
    yield Polygon(corners_mm=scene.kept, role=Role.CLEARANCE)
    yield Polygon(corners_mm=scene.carried, role=Role.CARRIED)
    yield from (words for *_, words in drawn)


def _view_of(scene: Scene, lettering: Lettering, letter_mm: float) -> list[Shape]:
    """A view with its words above it."""
    shapes = list(_drawn(scene, lettering, letter_mm))
    (left, _), (right, high) = reach_mm(shapes, letter_mm)
    return [*shapes, Words(text=scene.view, at_mm=((left + right) / 2, high + letter_mm * 0.6))]


def _said(
    piece: Piece, limit: Limit, verdict: Verdict, plate: Plate, lettering: Lettering
) -> Iterator[tuple[str, Role]]:
    """The margin first, then how it is carried, and what the dashes mean."""
    extent, kept = lettering.extent, plate.clearances
    size = extent(abs(verdict.margin_mm))
    left = "to spare" if verdict.margin_mm >= 0 else "too much"
    again = ", measure again" if verdict.measure_again else ""
    yield f"{piece.name} at {limit.name}: {size} {left}{again}", Role.WARNING
    sizes = f"{extent(plate.long_mm)} long, {extent(plate.high_mm)} high"
    yield f"{sizes}, on edge, {_held(plate, extent(plate.plan_mm))}", Role.NOTE
    if verdict.answer is Answer.NOT_MEASURED:
        yield "of what is measured: the rest may be tighter", Role.WARNING
    yield (
        f"dashes: {extent(kept.side_mm)} kept free beside each face, {extent(kept.end_mm)} at "
        f"each end, {extent(kept.lift_mm)} below, {extent(kept.head_mm)} above",
        Role.NOTE,
    )


def _touches(scene: Scene) -> bool:
    """Whether the plate, with what is kept free, lies in a wall as it is drawn."""
    return any(overlaps(scene.kept, wall) for wall in scene.walls)


def _decided(route: tuple[RouteElement, ...], verdict: Verdict, limit: Limit) -> Iterator[str]:
    """What decides at a side door, where it is not the corner that is drawn."""
    place = verdict.limits.index(limit)
    if place >= len(route) or not elements.is_side_door(route[place]):
        return
    room_mm = limit.level_mm + 2 * verdict.clearances.end_mm
    reasons = {
        "the straight hall before the door decides": route[place].length_mm,
        "the free depth of the room decides": route[place].room_mm,
    }
    yield from (
        said
        for said, size_mm in reasons.items()
        if size_mm is not None and abs(size_mm - room_mm) < SAME_MM
    )


def _held(plate: Plate, plan: str) -> str:
    if plate.pitch_deg:
        return f"one end up by {plate.pitch_deg:.0f}°, so {plan} long from above"
    if plate.lean_deg:
        return f"leaning by {plate.lean_deg:.0f}°"
    return "not tilted"
