from crewjobs.domain.facts import CutoutKind
from tests import make
from tests.domain.kit.one_thing import lines


def tap(x_mm, across_mm):
    return make.sink(
        x_mm, kind=CutoutKind.TAP_HOLE, width_mm=across_mm, height_mm=across_mm,
        is_made_on_site=True,
    )  # fmt: skip


def test_a_bit_and_a_plate_for_each_diameter():
    top = make.piece(cutouts=(tap(300, 35), tap(500, 35), tap(700, 50)))
    found = lines("cutting_tools", pieces=(top,), seams=())
    assert [(line.name, line.size_mm) for line in found] == [
        ("core drill with water to the cut", None),
        ("core bit", 35), ("core bit", 50), ("guide plate", 35), ("guide plate", 50),
    ]  # fmt: skip


def test_a_saw_for_a_field_cut_and_for_a_sink_cut_on_site():
    for fields in ({"needs_field_cut": True}, {"cutouts": (make.sink(is_made_on_site=True),)}):
        found = lines("cutting_tools", pieces=(make.piece(**fields),), seams=())
        assert found[0].name == "saw with water to the blade"
        assert "dust" in found[0].caution


def test_nothing_where_the_shop_cut_everything():
    assert lines("cutting_tools") == []
