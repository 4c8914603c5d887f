import pytest

from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.hours.batches import batches
from tests import make


@pytest.mark.parametrize(("temperature_deg_c", "count"), [(10, 1), (20, 1), (30, 2), (35, 3)])
def test_heat_asks_for_more_and_smaller_batches(temperature_deg_c, count):
    (found,) = batches(make.work(temperature_deg_c=temperature_deg_c))
    assert found.batches == count
    assert found.placing_min == pytest.approx(1 + 4 * 0.65)


def test_a_long_seam_takes_several():
    short, long = (
        batches(make.work(seams=(make.seam(length_mm=mm),)))[0].batches for mm in (600, 3000)
    )
    assert short < long


def test_flow_grade_runs_in_by_itself():
    pour = make.seam(method=SeamMethod.FLOW_GRADE)
    (flow,), (knife,) = batches(make.work(seams=(pour,))), batches(make.work())
    assert flow.placing_min < knife.placing_min
