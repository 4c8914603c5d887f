import pytest

from crewjobs.domain import dust
from crewjobs.domain.dust import DustyWork, Exposure, Respirator, Task
from crewjobs.domain.facts import DustRules
from crewjobs.domain.units import MM_PER_INCH

NONE, TEN = Respirator.NONE, Respirator.APF_10


def work(task: Task, hours: float, is_outdoors: bool) -> DustyWork:
    return DustyWork(task=task, minutes_min=60 * hours, is_outdoors=is_outdoors)


def worn(*shift: DustyWork, rules: DustRules = DustRules.US) -> list[Respirator | None]:
    return [each.respirator for each in dust.protections(shift, rules)]


@pytest.mark.parametrize(
    ("task", "grid"),
    [
        (Task.WET_STATIONARY_SAW, (NONE, NONE, NONE, NONE)),
        (Task.WET_HANDHELD_SAW, (NONE, TEN, TEN, TEN)),
        (Task.WET_CORE_DRILL, (NONE, NONE, NONE, NONE)),
        (Task.SHROUDED_DRILL, (NONE, NONE, NONE, NONE)),
        (Task.SHROUDED_GRINDER, (NONE, NONE, NONE, TEN)),
        (Task.WET_GRINDER, (NONE, NONE, None, None)),
    ],
)
def test_the_grid_of_table_1(task, grid) -> None:
    """29 CFR 1926.1153: outdoors up to 4 h and longer, then indoors; the last row from memory."""
    found = [worn(work(task, hours, out))[0] for out in (True, False) for hours in (4.0, 4.01)]
    assert tuple(found) == grid


def test_the_hours_of_one_shift_count_together() -> None:
    saw, grinder = Task.WET_HANDHELD_SAW, Task.SHROUDED_GRINDER
    assert worn(work(saw, 2.5, True), work(grinder, 2, False)) == [TEN, TEN]
    assert worn(work(saw, 2, True), work(grinder, 2, False)) == [NONE, NONE]


def test_the_kingdom_asks_for_more_than_the_states() -> None:
    (indoors,) = dust.protections((work(Task.SHROUDED_GRINDER, 1, False),), DustRules.UK)
    assert indoors.respirator is Respirator.APF_20
    assert "M-class" in indoors.controls


def test_indoors_the_air_is_exhausted() -> None:
    outside, inside = (
        dust.protections((work(Task.WET_HANDHELD_SAW, 1, out),), DustRules.US)[0].controls
        for out in (True, False)
    )
    assert "exhaust" not in outside
    assert "exhaust the room's air" in inside


@pytest.mark.parametrize(
    ("spells", "level", "said"),
    [
        ([(2, 180), (6, 10)], 52.5, Exposure.ABOVE),
        ([(1.5, 120), (6.5, 4)], 25.75, Exposure.ACTION),
        ([(0.5, 300), (7.5, 0)], 18.75, Exposure.BELOW),
        ([(10, 42)], 52.5, Exposure.ABOVE),
        ([(8, 50)], 50, Exposure.ACTION),
        ([(8, 25)], 25, Exposure.ACTION),
    ],
)
def test_where_a_day_lies(spells, level, said) -> None:
    """Always divided by 8 hours; a level equal to the limit is not in excess of it."""
    minutes = [(60 * hours, amount) for hours, amount in spells]
    assert dust.average(minutes) == pytest.approx(level)
    assert dust.exposure(minutes, DustRules.US) is said


def test_the_regulations_own_average() -> None:
    """29 CFR 1910.1000(d)(1)(ii): 2 h at 150, 2 h at 75, 4 h at 50 ppm."""
    assert dust.average([(120, 150), (120, 75), (240, 50)]) == 81.25


def test_no_time_and_no_dust_below_zero() -> None:
    for spell in ((-1, 50), (60, -1)):
        with pytest.raises(ValueError, match="the least is 0"):
            dust.average([spell])


@pytest.mark.parametrize(("inches", "cfm"), [(4, 100), (4.5, 113), (5, 125), (7, 175)])
def test_the_vacuum_of_a_grinder(inches, cfm) -> None:
    """25 cubic feet a minute for each inch; 112.5 rounded up."""
    assert dust.shroud_cfm(inches * MM_PER_INCH) == cfm
