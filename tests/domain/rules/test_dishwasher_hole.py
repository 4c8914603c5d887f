import pytest

from crewjobs.domain.facts import Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import dishwasher_hole
from tests import make

WRONG = make.job(work=Work(pieces=(make.piece(dishwasher_hole_mm=29),)))


@pytest.mark.parametrize(
    ("depth", "thickness", "severities"),
    [
        (12, 30, []), (12.7, 30, [Severity.WARN]), (15, 20, [Severity.STOP]),
        (20, 20, [Severity.STOP]), (12, 20, []), (None, 20, []), (8, 12, [Severity.STOP]),
    ],
)  # fmt: skip
def test_a_hole_stays_in_the_stone(depth, thickness, severities) -> None:
    piece = make.piece(dishwasher_hole_mm=depth, thickness_mm=thickness)
    found = list(dishwasher_hole.check(make.job(work=Work(pieces=(piece,)))))
    assert [each.severity for each in found] == severities
