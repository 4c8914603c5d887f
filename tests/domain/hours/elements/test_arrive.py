from crewjobs.domain.facts import Work
from tests.domain.hours.one_element import items, spans


def test_protecting_the_floor_grows_with_the_way_in():
    assert spans(items("arrive")) == [14 + 0.2 * 19]


def test_an_undescribed_way_is_taken_to_be_15_m():
    assert spans(items("arrive", Work())) == [14 + 0.2 * 15]
