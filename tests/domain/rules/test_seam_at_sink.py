import pytest

from crewjobs.domain.facts import RuleSet
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import seam_at_sink
from tests import make

WARN, NOTE = Severity.WARN, Severity.NOTE


@pytest.mark.parametrize(
    ("to_sink_mm", "rule_set", "severities"),
    [
        (457.2, RuleSet.STRICTER, []), (450, RuleSet.STRICTER, [WARN]),
        (450, RuleSet.WOODWORK, [WARN]), (0, RuleSet.STONE, [NOTE]),
        (None, RuleSet.STRICTER, [NOTE]),
    ],
)  # fmt: skip
def test_a_seam_near_a_sink(to_sink_mm, rule_set, severities) -> None:
    """18 in by the woodwork standard; the stone manual allows it with reinforcement."""
    work = make.work(seams=(make.seam(to_sink_mm=to_sink_mm),))
    found = list(seam_at_sink.check(make.job(work=work, rule_set=rule_set)))
    assert [each.severity for each in found] == severities


def test_without_a_sink_nothing_is_asked() -> None:
    work = make.work(pieces=(make.piece("A"), make.piece("B")))
    assert list(seam_at_sink.check(make.job(work=work))) == []
