import pytest

from crewjobs.domain.facts import RuleSet, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import overhang
from crewjobs.domain.units import MM_PER_INCH
from tests import make

STONE, WOODWORK = RuleSet.STONE, RuleSet.WOODWORK


def findings(overhang_mm, thickness_mm=30, depth_mm=914.4, rule_set=RuleSet.STRICTER):
    piece = make.piece(depth_mm=depth_mm, thickness_mm=thickness_mm, overhang_mm=overhang_mm)
    return list(overhang.check(make.job(work=Work(pieces=(piece,)), rule_set=rule_set)))


@pytest.mark.parametrize(
    ("inches", "thickness", "depth_in", "rule_set", "is_kept"),
    [
        (10, 30, 36, STONE, True), (10, 30, 24, STONE, False), (6, 20, 25.5, STONE, True),
        (6.01, 20, 25.5, STONE, False), (12, 30, 36, STONE, False), (12, 30, 36, WOODWORK, True),
        (12.1, 30, 36, WOODWORK, False), (12, 30, 36, RuleSet.STRICTER, False),
    ],
)  # fmt: skip
def test_the_overhangs_of_the_manuals(inches, thickness, depth_in, rule_set, is_kept) -> None:
    found = findings(inches * MM_PER_INCH, thickness, depth_in * MM_PER_INCH, rule_set)
    assert (not found) is is_kept


def test_the_finding_says_value_limit_and_why() -> None:
    (found,) = findings(300)
    assert found.severity is Severity.WARN
    assert "overhangs 300 mm, the most is 254 mm (stone manual, 30 mm thick)" in found.message
    assert (found.value, found.limit, found.unit) == (300, 254, "mm")


def test_not_measured_is_a_note() -> None:
    (found,) = findings(None)
    assert (found.severity, found.message) == (Severity.NOTE, "overhang not measured: A")
