import pytest

from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.hours.elements.cure import at_temperature_min
from tests import make
from tests.domain.hours.one_element import items, spans

RULE = {5: 16.971, 10: 12.0, 15: 8.485, 25: 4.243, 30: 3.0, 35: 2.121}
"""6 min at 20 C by t = 6 x 2 ** ((20 - T) / 10), worked out beside the code."""


@pytest.mark.parametrize(("temperature_deg_c", "span_min"), RULE.items())
def test_ten_degrees_double_or_halve_the_time(temperature_deg_c, span_min):
    assert at_temperature_min(6, temperature_deg_c) == pytest.approx(span_min, abs=5e-4)


def test_a_seam_and_a_sink_wait_at_room_temperature():
    assert spans(items("cure")) == [12, 20]


def test_waiting_takes_no_hands():
    assert {step.hands for step in items("cure")} == {0}


@pytest.mark.parametrize(("temperature_deg_c", "span_min"), [(-10, 60), (45, 5)])
def test_no_wait_leaves_its_limits(temperature_deg_c, span_min):
    work = make.work(temperature_deg_c=temperature_deg_c)
    assert spans(items("cure", work)) == [span_min, span_min]


def test_a_poured_seam_gels_before_it_hardens():
    work = make.work(seams=(make.seam(method=SeamMethod.FLOW_GRADE),))
    assert spans(items("cure", work)) == [6, 12, 20]
