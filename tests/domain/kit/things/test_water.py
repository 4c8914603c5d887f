import pytest

from crewjobs.domain.kit import Unit
from tests import make
from tests.domain.kit.one_thing import lines


def test_half_a_litre_for_each_minute_of_cutting():
    tank, lead = lines("water", pieces=(make.piece(needs_field_cut=True),), seams=())
    assert tank.unit is Unit.VOLUME
    assert tank.value == pytest.approx(18 * 1.15 * 500)
    assert tank.why == "cut A to fit"
    assert lead.value == 1


def test_none_where_nothing_is_cut():
    assert lines("water") == []
