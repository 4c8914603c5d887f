"""The stone of an order file: one row is one piece, with its holes, brackets and seam.

Knows rectangles: other outlines come with the template. Refuses to know the order around it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from crewjobs.actions import order_measures
from crewjobs.actions.order_file import Cells, Row, Style
from crewjobs.actions.orders import Finish
from crewjobs.domain.facts import (
    Cutout,
    CutoutKind,
    Piece,
    PieceKind,
    Seam,
    SeamMethod,
    Support,
    SupportKind,
)
from crewjobs.domain.outlines import cutout_refusals, outline_refusals

COLUMNS: Mapping[str, str] = {
    "piece": "name of the piece, once in an order",
    "kind": "top, island, backsplash or waterfall; top where nothing stands",
    "length": "length of the piece",
    "depth": "depth of the piece",
    "thickness": "thickness of the stone; 30 mm where nothing stands",
    "material": "name of the material",
    "density": "in kg/m3; 2400 where nothing stands",
    "edge": "how the edge is worked",
    "finished_edge": "length of finished edge",
    "field_cut": "yes, if it is cut to fit on site",
    "sink": "undermount or drop-in",
    "sink_size": "width x depth of the hole, such as 30 x 16 1/2",
    "sink_at": "from the left end to the middle of the hole; the middle where nothing stands",
    "cooktop_size": "width x depth of the hole",
    "cooktop_at": "from the left end to the middle of the hole; the middle where nothing stands",
    "tap_holes": "how many, behind the sink",
    "site_holes": "yes, if the tap holes are drilled on site",
    "brackets": "how many brackets the crew fits under it",
    "seam_with": "the other piece of a seam",
    "seam_method": "knife grade or flow grade; knife grade where nothing stands",
    "seam_length": "length of the seam; the lesser depth where nothing stands",
    **order_measures.OF_PIECE,
}
LONGEST_MM = 10_000.0
"""No longer piece is read: slabs end well before."""
SHORTEST_MM = 20.0
USUAL_MM = 30.0
"""The usual thickness. Common practice."""
USUAL_KG_M3 = 2400.0
TAP_MM = 35.0
"""Across a tap hole. Common practice; the maker's data sheet counts."""
TAP_BEHIND_MM = 50.0
"""From the back edge to the middle of a tap hole. Common practice; no hour depends on it."""
TAP_APART_MM = 100.0
HOLES: Mapping[CutoutKind, str] = {
    CutoutKind.UNDERMOUNT_SINK: "sink_size",
    CutoutKind.DROP_IN_SINK: "sink_size",
    CutoutKind.COOKTOP: "cooktop_size",
    CutoutKind.TAP_HOLE: "tap_holes",
}
"""The column that a hole is read from."""
MOST_NAME = 28
"""Letters of a piece's name, so that two fit into the name of a seam."""


class Sink(StrEnum):
    """How the column names a sink."""

    UNDERMOUNT = "undermount"
    DROP_IN = "drop-in"

    @property
    def kind(self) -> CutoutKind:
        """The sink as the job knows it."""
        return CutoutKind(f"{self} sink")


@dataclass(frozen=True, kw_only=True, slots=True)
class Stone:
    """One row's piece, and the cells that it was read from."""

    cells: Cells
    piece: Piece
    finish: Finish
    supports: tuple[Support, ...]


def stones(rows: Iterable[Row], style: Style) -> list[Stone]:
    """The pieces of an order, in the order of their rows; a name that comes twice is noted."""
    found: list[Stone] = []
    for row in rows:
        texts = {column: (row.number, text) for column, text in row.texts.items()}
        cells = Cells(texts, row=row.number, style=style)
        if cells.has(*COLUMNS):
            stone = _stone(cells)
            if stone.piece.name in {each.piece.name for each in found}:
                cells.note("piece", f"the order has a piece {stone.piece.name} already")
            found.append(stone)
    return found


def seams(found: Sequence[Stone]) -> tuple[Seam, ...]:
    """The seams that the rows speak of. Two rows that name each other speak of one seam."""
    by_name = {stone.piece.name: stone for stone in found}
    made: dict[frozenset[str], Seam] = {}
    for stone in found:
        seam = _seam(stone, by_name)
        if seam and seam.name in {each.name for each in made.values()}:
            stone.cells.note("seam_with", f"the order has a seam {seam.name} already")
        elif seam:
            made.setdefault(frozenset({seam.first, seam.second}), seam)
    return tuple(made.values())


def _stone(cells: Cells) -> Stone:
    order_measures.refuse_stray(cells)
    piece = _piece(cells)
    return Stone(
        cells=cells,
        piece=piece,
        finish=Finish(material=cells.text("material", 80), edge_finish=cells.text("edge", 60)),
        supports=tuple(
            Support(piece=piece.name, kind=SupportKind.BRACKET)
            for _ in range(cells.count("brackets", most=40))
        ),
    )


def _piece(cells: Cells) -> Piece:
    length_mm = cells.length_mm("length", least_mm=SHORTEST_MM, most_mm=LONGEST_MM)
    depth_mm = cells.length_mm("depth", least_mm=SHORTEST_MM, most_mm=LONGEST_MM)
    plain = Piece(
        name=cells.text("piece", MOST_NAME, is_needed=True),
        kind=cells.one_of("kind", PieceKind, PieceKind.TOP),
        outline_mm=((0, 0), (length_mm, 0), (length_mm, depth_mm), (0, depth_mm)),
        thickness_mm=cells.length_mm("thickness", least_mm=3, most_mm=200, default_mm=USUAL_MM),
        density_kg_m3=cells.number("density", least=500, most=5000, default=USUAL_KG_M3),
        finished_edge_mm=cells.length_mm("finished_edge", most_mm=1e5, default_mm=0.0),
        needs_field_cut=cells.yes("field_cut"),
        **order_measures.of_piece(cells),
    )
    return _cut(cells, replace(plain, cutouts=tuple(_cutouts(cells, plain))))


def _cut(cells: Cells, piece: Piece) -> Piece:
    """The piece, if it can be cut as drawn; else its faults are noted at the cell to mend."""
    if cells.problems:
        return piece
    for fault in outline_refusals(piece):
        cells.note("length", fault)
    for place, fault in cutout_refusals(piece):
        cells.note(HOLES[piece.cutouts[place].kind], fault)
    return piece


def _cutouts(cells: Cells, piece: Piece) -> Iterator[Cutout]:
    sink = cells.maybe_one_of("sink", Sink)
    if sink:
        yield _hole(cells, "sink", sink.kind, piece)
    elif cells.has("sink_size", "sink_at") and not cells.has("sink"):
        cells.note("sink", "say undermount or drop-in")
    if cells.has("cooktop_size"):
        yield _hole(cells, "cooktop", CutoutKind.COOKTOP, piece)
    elif cells.has("cooktop_at"):
        cells.note("cooktop_size", "must not be empty")
    yield from _tap_holes(cells, piece)


def _hole(cells: Cells, name: str, kind: CutoutKind, piece: Piece) -> Cutout:
    width_mm, depth_mm = cells.size_mm(f"{name}_size", least_mm=SHORTEST_MM, most_mm=LONGEST_MM)
    x_mm = cells.length_mm(f"{name}_at", most_mm=LONGEST_MM, default_mm=piece.length_mm / 2)
    if min(x_mm, piece.length_mm - x_mm) <= width_mm / 2:
        cells.note(f"{name}_at", "the hole reaches over an end of the piece")
    return Cutout(
        kind=kind,
        x_mm=x_mm,
        y_mm=piece.depth_mm / 2,
        width_mm=width_mm,
        height_mm=depth_mm,
        **order_measures.of_cutout(cells, name),
    )


def _tap_holes(cells: Cells, piece: Piece) -> Iterator[Cutout]:
    count = cells.count("tap_holes", most=6)
    is_made_on_site = cells.yes("site_holes")
    middle_mm = piece.length_mm / 2
    if count and cells.has("sink_at"):
        middle_mm = cells.length_mm("sink_at", most_mm=LONGEST_MM, default_mm=middle_mm)
    for number in range(count):
        yield Cutout(
            kind=CutoutKind.TAP_HOLE,
            x_mm=middle_mm + (number - (count - 1) / 2) * TAP_APART_MM,
            y_mm=piece.depth_mm - TAP_BEHIND_MM,
            width_mm=TAP_MM,
            height_mm=TAP_MM,
            corner_radius_mm=TAP_MM / 2,
            is_made_on_site=is_made_on_site,
        )


def _seam(stone: Stone, by_name: Mapping[str, Stone]) -> Seam | None:
    cells, name = stone.cells, stone.piece.name
    other = cells.text("seam_with")
    if not other:
        if cells.has("seam_method", "seam_length"):
            cells.note("seam_with", "must not be empty: a seam joins two pieces")
        return None
    if other == name or other not in by_name:
        cells.note("seam_with", f"the order has no other piece {other}")
        return None
    lesser_mm = min(stone.piece.depth_mm, by_name[other].piece.depth_mm)
    return Seam(
        name=f"{other}-{name}",
        first=other,
        second=name,
        length_mm=cells.length_mm(
            "seam_length", least_mm=SHORTEST_MM, most_mm=LONGEST_MM, default_mm=lesser_mm
        ),
        method=cells.one_of("seam_method", SeamMethod, SeamMethod.KNIFE_GRADE),
        **order_measures.of_seam(cells),
    )
