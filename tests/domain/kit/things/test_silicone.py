import pytest

from tests import make
from tests.domain.kit.one_thing import amounts, lines


@pytest.mark.parametrize(("length_mm", "tubes"), [(3000, 1), (10_700, 1), (10_800, 2)])
def test_a_tube_fills_so_many_metres(length_mm, tubes):
    """310 ml / (25 mm2 x 1.15) = 10.78 m."""
    found = lines("silicone", pieces=(make.piece("A", length_mm),), seams=())
    assert amounts(found) == {"silicone, tube": tubes, "silicone gun": 1}


def test_a_sink_is_gone_round_unless_the_shop_did():
    def tubes(**fields):
        top = make.piece("A", 9000, cutouts=(make.sink(**fields),))
        return lines("silicone", pieces=(top,), seams=())[0].value

    assert (tubes(), tubes(is_set_in_shop=True)) == (2, 1)


def test_none_without_stone():
    assert lines("silicone", pieces=(), seams=()) == []
