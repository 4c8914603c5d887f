import pytest

from crewjobs.domain.facts import Work
from crewjobs.domain.rules import span
from crewjobs.domain.units import MM_PER_INCH
from tests import make


def findings(**fields):
    return list(span.check(make.job(work=Work(pieces=(make.piece(**fields),)))))


@pytest.mark.parametrize(
    ("inches", "thickness", "is_kept"), [(24, 20, True), (24, 30, True), (30, 20, False),
                                         (30, 30, True), (36, 30, True), (36.1, 30, False)],
)  # fmt: skip
def test_the_spans_of_the_stone_manual(inches, thickness, is_kept) -> None:
    found = findings(span_mm=inches * MM_PER_INCH, thickness_mm=thickness)
    assert (not found) is is_kept


def test_not_measured_is_a_note() -> None:
    (found,) = findings()
    assert found.message == "span between supports not measured: A"
