from crewjobs.domain.facts import CutoutKind, Work
from tests import make
from tests.domain.hours.one_element import items, spans


def test_each_cooktop_is_laid_in():
    cooktop = make.sink(kind=CutoutKind.COOKTOP)
    work = Work(pieces=(make.piece("A", cutouts=(cooktop,)), make.piece("B", cutouts=(cooktop,))))
    assert spans(items("cooktop", work)) == [7, 7]


def test_a_sink_is_no_cooktop():
    assert items("cooktop") == []
