from crewjobs.domain.rules import not_signed
from tests import make


def test_a_signature_is_asked_for() -> None:
    assert list(not_signed.check(make.job()))
    assert not list(not_signed.check(make.job(record=make.record(is_signed=True))))
