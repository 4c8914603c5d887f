from math import radians, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain import lifting
from crewjobs.domain.limits import Limits
from tests import make


@pytest.mark.parametrize(
    ("people", "single", "together"),
    [(2, 20, 26.67), (3, 20, 30), (2, 50, 66.67), (3, 50, 75), (2, 25, 33.33), (3, 25, 37.5)],
)
def test_a_team_lifts_less_than_its_sum(people, single, together) -> None:
    """The worked figures of pages that quote UK HSE, L23: two thirds for two, a half for three."""
    assert lifting.team_kg(people, single_kg=single) == pytest.approx(together, abs=0.004)


def test_nothing_is_published_for_more_than_three() -> None:
    assert lifting.team_kg(4) is None
    assert [lifting.guideline_people(kg) for kg in (25, 26, 33, 34, 37.5, 38)] == [
        1, 2, 2, 3, 3, None,
    ]  # fmt: skip


def test_a_kitchen_top_has_three_numbers_and_asks_for_an_aid() -> None:
    """A 2600 x 648 x 30 mm top with a sink, 99.2 kg; index 17.25 kg a person from the equation."""
    top = make.piece(length_mm=2600, depth_mm=648, cutouts=(make.sink(1300, 305, width_mm=750,
                     height_mm=410, corner_radius_mm=10),))  # fmt: skip
    level = lifting.hands(top, 3, limits=Limits(team_factor=0.75))
    assert level.mass_kg == pytest.approx(99.2, abs=0.05)
    assert (level.shop_people, level.guideline_people) == (3, None)
    assert level.index_factor == pytest.approx(2.6, abs=0.05)
    assert lifting.hands(top, 3, pitch_deg=37, limits=Limits(team_factor=0.75)).index_factor > 3.0
    assert level.asks_for_aid


def test_a_backsplash_asks_for_none() -> None:
    strip = make.piece(length_mm=1000, depth_mm=100)
    alone = lifting.hands(strip, 1)
    assert (alone.shop_people, alone.guideline_people, alone.asks_for_aid) == (1, 1, False)


def test_the_lower_person_carries_more_on_stairs() -> None:
    top = make.piece(length_mm=2400, depth_mm=648)
    expected = 0.5 + 648 * tan(radians(37)) / (2 * 2400)
    assert lifting.lower_share(top, pitch_deg=37) == pytest.approx(expected)
    upright = make.piece(length_mm=648, depth_mm=2400)
    assert lifting.lower_share(upright, pitch_deg=37) == pytest.approx(expected)


@settings(max_examples=40)
@given(length=st.floats(700, 3200), depth=st.floats(100, 690), pitch=st.floats(0, 45))
def test_a_steeper_stair_never_relieves_the_lower_person(length, depth, pitch) -> None:
    top = make.piece(length_mm=length, depth_mm=depth)
    share = lifting.lower_share(top, pitch_deg=pitch)
    assert 0.5 <= share <= lifting.lower_share(top, pitch_deg=pitch + 1) <= 1


def test_each_number_says_what_it_does_not_cover() -> None:
    assert "stairs" in lifting.SHOP_NOT_COVERED
    assert "lower person" in lifting.GUIDELINE_NOT_COVERED
    assert "no team" in lifting.EQUATION_NOT_COVERED


def test_nobody_carries_nothing() -> None:
    with pytest.raises(ValueError, match="people is 0"):
        lifting.hands(make.piece(), 0)
