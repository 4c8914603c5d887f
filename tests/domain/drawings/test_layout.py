"""The layout: told places are kept, derived ones join at the seams and never overlap."""

from itertools import combinations, pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain import drawings
from crewjobs.domain.drawings import Role, layouts
from crewjobs.domain.drawings.shapes import Corners, turned_mm
from crewjobs.domain.facts import CutoutKind, Piece, PieceKind, Work
from crewjobs.domain.outlines import box_mm, l_shape_mm
from tests import make
from tests.domain.drawings.lettered import PLAIN, lines, polygons, texts

KITCHEN = (make.piece("A", 2600, 635), make.piece("B", 1800, 635), make.piece("C", 900, 900))


def is_in(x: float, y: float, outline: Corners) -> bool:
    """By the winding number, independent of the ray that the code sends."""
    winding = 0
    for (ax, ay), (bx, by) in pairwise((*outline, outline[0])):
        side = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
        if ay <= y < by and side > 0:
            winding += 1
        elif by <= y < ay and side < 0:
            winding -= 1
    return winding != 0


def shared_cells(first: Corners, second: Corners, step: float = 23.7) -> int:
    """Cells of a raster whose middle lies in both outlines."""
    (left, low), (right, high) = box_mm(first)
    columns, rows = int((right - left) / step), int((high - low) / step)
    spots = (
        (left + step * (column + 0.5), low + step * (row + 0.5))
        for column in range(columns)
        for row in range(rows)
    )
    return sum(is_in(x, y, first) and is_in(x, y, second) for x, y in spots)


@st.composite
def kitchens(draw) -> Work:
    """Some tops and an L, a waterfall, a backsplash, seams between any two of them."""
    count = draw(st.integers(1, 4))
    depth = draw(st.sampled_from([600.0, 635.0]))
    pieces = [make.piece(f"T{n}", draw(st.floats(300, 3000)), depth) for n in range(count)]
    if draw(st.booleans()):
        sizes = draw(st.floats(1300, 2600)), draw(st.floats(1300, 2600))
        pieces.append(Piece(name="L", outline_mm=l_shape_mm(*sizes, depth, depth), thickness_mm=30))
    if draw(st.booleans()):
        pieces.append(make.piece("End", 900, depth, kind=PieceKind.WATERFALL))
    pieces.append(make.piece("Splash", 2000, 100, kind=PieceKind.BACKSPLASH))
    names = [piece.name for piece in pieces]
    pairs = draw(st.lists(st.sampled_from(list(combinations(names, 2))), unique=True, max_size=5))
    seams = tuple(make.seam(*pair, length_mm=depth) for pair in pairs)
    return Work(pieces=tuple(pieces), seams=seams)


@given(work=kitchens())
def test_no_derived_place_overlaps_another_and_every_piece_has_one(work):
    found = layouts.placed(work)
    assert [each.piece for each in found] == list(work.pieces)
    for first, second in combinations(found, 2):
        assert shared_cells(first.outline_mm, second.outline_mm) == 0


@given(work=kitchens())
def test_the_same_job_is_laid_out_the_same(work):
    assert layouts.placed(work) == layouts.placed(work)


@given(work=kitchens())
def test_pieces_that_are_joined_and_not_hindered_meet_along_the_seam(work):
    tops = [seam for seam in work.seams if {seam.first, seam.second} <= {"T0", "T1"}]
    if tops and len(work.seams) == 1:
        by_name = {each.piece.name: each for each in layouts.placed(work)}
        line = layouts.seam_line(by_name["T0"], by_name["T1"])
        assert line is not None
        (ax, ay), (bx, by) = line
        assert hypot(bx - ax, by - ay) == pytest.approx(tops[0].length_mm)


def test_a_row_of_tops_is_joined_end_to_end_in_order():
    seams = (make.seam("A", "B", length_mm=635), make.seam("B", "C", length_mm=635))
    row = (*KITCHEN[:2], make.piece("C", 900, 635))
    first, second, third = layouts.placed(Work(pieces=row, seams=seams))
    assert [box_mm(each.outline_mm)[0][0] for each in (first, second, third)] == [0, 2600, 4400]
    assert {box_mm(each.outline_mm)[1][1] for each in (first, second, third)} == {0}
    assert (first.turn_deg, second.turn_deg, third.turn_deg) == (0, 0, 0)


def test_what_nothing_joins_stands_beside_and_a_backsplash_below():
    work = Work(pieces=(*KITCHEN, make.piece("S", 2600, 100, kind=PieceKind.BACKSPLASH)))
    tops = [box_mm(each.outline_mm) for each in layouts.placed(work)]
    for (_, (right, _)), ((left, _), _) in pairwise(tops[:3]):
        assert left == pytest.approx(right + layouts.APART_MM)
    assert tops[3][1][1] < min(low for (_, low), _ in tops[:3])


def test_a_waterfall_is_drawn_unfolded_beside_its_edge():
    top, end = make.piece("Bar", 1600, 500), make.piece("End", 900, 500, kind=PieceKind.WATERFALL)
    seam = make.seam("Bar", "End", length_mm=500)
    first, second = layouts.placed(Work(pieces=(top, end), seams=(seam,)))
    assert box_mm(second.outline_mm)[0][0] - box_mm(first.outline_mm)[1][0] == layouts.FOLD_MM
    assert layouts.seam_line(first, second) == ((1630, -500), (1630, 0))


def test_a_told_place_is_kept_and_its_seam_found():
    a = make.piece("A", 2600, 635, layout_x_mm=100, layout_y_mm=50)
    b = make.piece("B", 1800, 635, layout_x_mm=735, layout_y_mm=-1750, layout_turn_deg=90)
    work = Work(pieces=(a, b, KITCHEN[2]), seams=(make.seam("A", "B", length_mm=635),))
    first, second, third = layouts.placed(work)
    assert first.outline_mm[0] == (100, 50)
    low, high = box_mm(second.outline_mm)
    assert [*low, *high] == pytest.approx([100, -1750, 735, 50])
    line = layouts.seam_line(first, second)
    assert line is not None
    assert [*line[0], *line[1]] == pytest.approx([100, 50, 735, 50])
    assert box_mm(third.outline_mm)[0][0] >= 2700


@given(x=st.floats(-800, 800), y=st.floats(-800, 800), turn=st.sampled_from([0.0, 90.0, 37.0]))
def test_two_outlines_overlap_where_a_raster_says_so(x, y, turn):
    first = l_shape_mm(1200, 1000, 400, 300)
    second = tuple((a + x, b + y) for a, b in turned_mm(make.rectangle(700, 350), turn))
    cells = shared_cells(first, second)
    if cells > 0:
        assert layouts.overlaps(first, second)
    if not layouts.overlaps(first, second):
        assert cells == 0
    assert layouts.overlaps(first, second) == layouts.overlaps(second, first)


def test_edges_that_touch_do_not_overlap_and_the_same_place_does():
    first = make.rectangle(2000, 600)
    assert not layouts.overlaps(first, tuple((x + 2000, y) for x, y in first))
    assert layouts.overlaps(first, first)
    assert layouts.overlaps(first, tuple((x + 500, y) for x, y in first))
    assert layouts.overlaps(first, ((100, 100), (200, 100), (200, 200), (100, 200)))


def test_the_picture_names_pieces_seams_sinks_and_how_far_to_rely_on_it():
    sink = make.sink(1300, 300, is_made_on_site=True, kind=CutoutKind.COOKTOP)
    seam = make.seam(length_mm=635, adhesive="Ash grey", is_over_dishwasher=True, to_sink_mm=250)
    work = Work(pieces=(make.piece("A", 2600, 635, cutouts=(sink,)), KITCHEN[1]), seams=(seam,))
    found = drawings.layout(work, PLAIN)
    for said in ("A", "B", "cooktop", "A-B"):
        assert said in texts(found)
    words = found.description
    for said in ("635", "knife grade", "Ash grey", "over a dishwasher", "250 to the sink"):
        assert said in words
    assert "no plan of the room" in words
    assert len(lines(found, Role.SEAM)) == 1
    assert len(polygons(found, Role.SITE_CUTOUT)) == 1


def test_a_job_without_sizes_says_so():
    assert texts(drawings.layout(Work(), PLAIN)) == ["no sizes yet"]
