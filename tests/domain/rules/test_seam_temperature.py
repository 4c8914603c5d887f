import pytest

from crewjobs.domain.rules import seam_temperature
from tests import make

WRONG = make.job(work=make.work(temperature_deg_c=5))


@pytest.mark.parametrize(
    ("degrees", "said"), [(20, ""), (9, "the least is 10 C: warm the stone"), (35, "2 batches")]
)
def test_cold_and_heat_are_said(degrees, said) -> None:
    work = make.work(temperature_deg_c=degrees)
    found = [each.message for each in seam_temperature.check(make.job(work=work))]
    assert (said in found[0]) if said else found == []
