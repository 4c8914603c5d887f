import pytest

from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import seam_at_dishwasher
from tests import make


@pytest.mark.parametrize(
    ("over", "severities"), [(True, [Severity.WARN]), (False, []), (None, [Severity.NOTE])]
)
def test_a_seam_over_a_dishwasher(over, severities) -> None:
    work = make.work(seams=(make.seam(is_over_dishwasher=over),))
    found = list(seam_at_dishwasher.check(make.job(work=work)))
    assert [each.severity for each in found] == severities
