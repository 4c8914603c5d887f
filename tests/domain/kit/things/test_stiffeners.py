from tests import make
from tests.domain.kit.one_thing import amounts, lines


def test_two_rails_and_four_clamps_across_a_weak_cutout():
    weak = make.piece("A", 2600, 648, cutouts=(make.sink(1300, 305, width_mm=750),))
    found = lines("stiffeners", pieces=(weak,), seams=())
    assert amounts(found) == {"stiffener rail": 2, "clamp for a stiffener": 4}
    assert found[0].size_mm == 750 + 2 * 150
    assert "never carry at the rail" in found[0].caution


def test_none_for_a_hole_that_is_made_on_site_or_for_a_tap():
    later = make.piece("A", cutouts=(make.sink(is_made_on_site=True),))
    assert lines("stiffeners", pieces=(later, make.piece("B")), seams=()) == []


def test_a_hole_that_leaves_no_rail_counts_as_weak():
    open_front = make.piece("A", cutouts=(make.sink(y_mm=150),))
    assert len(lines("stiffeners", pieces=(open_front,), seams=())) == 2
