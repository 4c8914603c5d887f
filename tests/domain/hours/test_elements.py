"""The house rules of the elements: each has a source, names with units, and a test."""

from pathlib import Path

import pytest

from crewjobs.domain.hours import elements, standard_minutes

HERE = Path(__file__).parent
NAMES = [element.name for element in elements.found()]


@pytest.mark.parametrize("name", NAMES)
def test_every_element_has_a_test(name):
    assert (HERE / "elements" / f"test_{name}.py").is_file()


@pytest.mark.parametrize("element", elements.found(), ids=NAMES)
def test_every_element_says_what_it_is_and_where_its_figures_come_from(element):
    assert element.source
    assert element.visits
    assert element.title
    assert all(prior.note and prior.source for prior in element.standard.values())


def test_every_standard_time_is_minutes_above_zero():
    assert all(time.name.endswith("_min") and time.value_min > 0 for time in standard_minutes())


def test_no_two_standard_times_share_a_name():
    names = [time.name for time in standard_minutes()]
    assert len(names) == len(set(names))


def test_nothing_claims_to_be_measured():
    assert {time.source for time in standard_minutes()} == {"not measured"}
