from crewjobs.domain.rules import template_missing
from tests import make


def test_sizes_are_asked_for() -> None:
    assert list(template_missing.check(make.job()))


def test_sizes_that_are_there_pass() -> None:
    assert not list(template_missing.check(make.job(record=make.record(is_templated=True))))
