import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.adhesives import Sheet, mixed, seam_adhesive, sheet_of, time_factor
from crewjobs.domain.facts import SeamMethod
from crewjobs.domain.limits import Limits
from tests import make


@pytest.mark.parametrize(
    ("degrees", "minutes"),
    [(5, 16.971), (10, 12), (15, 8.485), (20, 6), (25, 4.243), (30, 3), (35, 2.121)],
)
def test_ten_degrees_more_halve_the_time(degrees, minutes) -> None:
    assert 6 * time_factor(Sheet(), degrees) == pytest.approx(minutes, abs=6e-4)


def test_a_makers_chart_takes_the_rules_place() -> None:
    """Ten minutes at 25 C are 5 at 35 and 2.5 at 45; a steeper sheet is entered as it is."""
    sheet = Sheet(working_min=10, at_deg_c=25)
    assert [
        seam_adhesive(648, 30, temperature_deg_c=t, sheet=sheet).working_min for t in (35, 45)
    ] == pytest.approx([5, 2.5])
    steep = Sheet(working_min=10, at_deg_c=25, halves_every_deg_c=5)
    assert seam_adhesive(648, 30, temperature_deg_c=35, sheet=steep).working_min == 2.5


def test_a_seam_across_a_top_takes_39_ml() -> None:
    """648 x 30 x 1.5 mm and a third more."""
    assert seam_adhesive(648, 30).volume_ml == pytest.approx(39.366)


@pytest.mark.parametrize(
    ("degrees", "working", "hard", "batches"), [(20, 5, 12, 1), (10, 10, 24, 1), (35, 1.8, 4.2, 2)]
)
def test_heat_asks_for_more_batches(degrees, working, hard, batches) -> None:
    found = seam_adhesive(648, 30, temperature_deg_c=degrees)
    assert (found.working_min, found.hard_min) == pytest.approx((working, hard), abs=0.05)
    assert found.batches == batches
    assert found.is_too_slow is (batches > 1)


def test_a_long_seam_takes_batches_by_its_volume() -> None:
    assert seam_adhesive(2400, 30, sheet=Sheet(working_min=60)).batches == 2


@pytest.mark.parametrize("method", SeamMethod)
def test_a_shop_s_limits_make_the_sheet_of_every_method(method) -> None:
    assert sheet_of(method, Limits(working_min=8)).working_min == 8
    assert sheet_of(method, Limits(batch_ml=50)).batch_ml == 50


@settings(max_examples=40)
@given(degrees=st.floats(-10, 40), more=st.floats(0.1, 20), length=st.floats(100, 3000))
def test_warmer_is_never_slower(degrees, more, length) -> None:
    cool, warm = (seam_adhesive(length, 30, temperature_deg_c=t) for t in (degrees, degrees + more))
    assert warm.working_min < cool.working_min
    assert warm.hard_min < cool.hard_min
    assert warm.batches >= cool.batches
    assert warm.volume_ml == cool.volume_ml


@pytest.mark.parametrize("sizes", [(0, 30), (648, -1)])
def test_no_size_is_refused(sizes) -> None:
    with pytest.raises(ValueError, match="must be more than 0"):
        seam_adhesive(*sizes)


def test_a_sheet_without_working_time_is_refused() -> None:
    with pytest.raises(ValueError, match="working_min is 0"):
        Sheet(working_min=0)


def test_each_seam_of_a_job_counts_its_thicker_side_and_its_own_method() -> None:
    tops = (make.piece("A", thickness_mm=20), make.piece("B"))
    seams = (make.seam(), make.seam(name="flow", method=SeamMethod.FLOW_GRADE))
    knife, flow = mixed(make.work(pieces=tops, seams=seams))
    assert (knife.seam.name, flow.seam.name) == ("A-B", "flow")
    assert knife.takes.volume_ml == pytest.approx(650 * 30 * 1.5 * 1.35 / 1000)
    assert flow.takes.placing_min < knife.takes.placing_min


def test_a_shop_s_own_working_time_counts() -> None:
    (usual,), (slow,) = mixed(make.work()), mixed(make.work(), Limits(working_min=20))
    assert slow.takes.working_min == 4 * usual.takes.working_min
