from crewjobs.domain.rules import install_not_published
from tests import make


def test_a_draft_is_not_enough() -> None:
    assert list(install_not_published.check(make.job()))


def test_a_published_visit_passes() -> None:
    record = make.record(has_published_install=True)
    assert not list(install_not_published.check(make.job(record=record)))
