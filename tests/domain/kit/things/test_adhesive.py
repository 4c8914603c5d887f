import pytest

from crewjobs.domain.facts import SeamMethod
from tests import make
from tests.domain.kit.one_thing import lines


def test_a_seam_takes_its_volume_and_waste_in_its_own_color():
    seam = make.seam(adhesive="polyester, bone white")
    first, hardener, cups, cleaner = lines("adhesive", seams=(seam,))
    assert first.name == "polyester, bone white, knife grade"
    assert first.value == pytest.approx(650 * 30 * 1.5 * 1.35 / 1000)
    assert hardener.value == pytest.approx((first.value or 0) * 0.02)
    assert cups.value == 1
    assert cleaner.value is None


def test_a_color_that_nobody_chose_is_said():
    (first, *_) = lines("adhesive", seams=(make.seam(method=SeamMethod.FLOW_GRADE),))
    assert first.name == "adhesive, color not chosen, flow grade"


def test_heat_asks_for_more_batches():
    cups = lines("adhesive", temperature_deg_c=35)[2]
    assert cups.name == "mixing cup and stick"
    assert (cups.value or 0) > 1


def test_none_without_seams():
    assert lines("adhesive", seams=()) == []
