from tests import make
from tests.domain.hours.one_element import items, spans


def test_old_tops_come_out_by_the_metre():
    assert spans(items("tear_out", make.work(tear_out_mm=4_500))) == [10 + 8 * 4.5]


def test_without_old_tops_there_is_nothing_to_do():
    assert items("tear_out") == []
