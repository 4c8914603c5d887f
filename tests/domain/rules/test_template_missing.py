from crewjobs.domain.facts import Work
from crewjobs.domain.rules import template_missing
from tests import make


def test_sizes_are_asked_for() -> None:
    (found,) = template_missing.check(make.job(work=Work()))
    assert "no sizes came in" in found.message


def test_sizes_before_the_template_visit_are_said_to_be_no_measured_ones() -> None:
    (found,) = template_missing.check(make.job())
    assert "the sizes that came in are not measured ones" in found.message


def test_sizes_that_are_there_pass() -> None:
    assert not list(template_missing.check(make.job(record=make.record(is_templated=True))))
