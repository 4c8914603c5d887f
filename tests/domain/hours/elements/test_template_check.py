from crewjobs.domain.facts import Work
from tests.domain.hours.one_element import items, spans


def test_each_piece_is_checked():
    assert spans(items("template_check")) == [1.5 * 2]


def test_the_template_is_checked_before_the_first_piece_is_set():
    (check,) = items("template_check")
    assert all(check.reaches in step.after for step in items("place"))


def test_without_pieces_there_is_nothing_to_check():
    assert items("template_check", Work()) == []
