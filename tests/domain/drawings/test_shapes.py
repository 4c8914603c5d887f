"""Shapes: hatches stay inside, sheets hold what is drawn on them."""

from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.drawings import Anchor, Circle, Line, Polygon, Role, Words, shapes, sheets
from crewjobs.domain.outlines import l_shape_mm

sizes = st.floats(100, 4000)


@given(along=st.floats(800, 3000), back=st.floats(800, 3000), step=st.floats(20, 200))
def test_a_hatch_lies_within_what_it_fills(along, back, step):
    lines = list(shapes.hatched(l_shape_mm(along, back, 600, 600), step))
    assert lines
    for line in lines:
        for x, y in line.points_mm:
            assert -1e-6 <= x <= along + 1e-6
            assert -1e-6 <= y <= back + 1e-6
            assert x <= 600 + 1e-6 or y <= 600 + 1e-6


@given(x=sizes, y=sizes, turn=st.sampled_from([0.0, 90.0, 30.0]), anchor=st.sampled_from(Anchor))
def test_a_sheet_holds_what_is_drawn_on_it(x, y, turn, anchor):
    drawn = [
        Polygon(corners_mm=((0, 0), (x, 0), (0, y)), role=Role.STONE),
        Line(points_mm=((-x, 5), (7, y)), role=Role.SEAM),
        Circle(middle_mm=(x, -y), radius_mm=50, role=Role.GRIP),
        Words(text="Words", at_mm=(x, y), anchor=anchor, turn_deg=turn),
    ]
    sheet = sheets.on_sheet(drawn, letter_mm=40, title="", description="")
    assert len(sheet.shapes) == len(drawn)
    for shape in sheet.shapes:
        for across, up in sheets._reach(shape, 40):
            assert -1e-6 <= across <= sheet.width_mm + 1e-6
            assert -1e-6 <= up <= sheet.height_mm + 1e-6


def test_a_measure_has_its_line_two_ticks_and_words_that_read_upwards_beside_it():
    line, first, last, words = shapes.measured((0, 0), (0, 600), "600 mm", 40)
    assert line.points_mm == ((0, 0), (0, 600))
    assert {y for tick in (first, last) for _, y in tick.points_mm} == {0, 600}
    assert words.turn_deg == 90
    assert isclose(words.at_mm[1], 300)
    assert words.at_mm[0] < 0
