from crewjobs.domain.facts import VisitKind, Work
from tests.domain.hours.one_element import items, spans


def test_unknown_work_has_a_fixed_prior():
    assert spans(items("remedy", Work(), kind=VisitKind.RETURN)) == [10, 60]


def test_known_pieces_replace_what_lies_there():
    assert spans(items("remedy", kind=VisitKind.RETURN)) == [10, 12, 12]
