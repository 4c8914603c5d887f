import pytest

from crewjobs.domain.facts import Stage
from crewjobs.domain.rules import seam_made
from crewjobs.domain.units import MM_PER_INCH
from tests import make

WRONG = make.job(work=make.work(seams=(make.seam(gap_mm=3),)))
GOOD = {"gap_mm": 1.5, "edge_lippage_mm": 0.0, "lippage_mm": 0.5}


def findings(stage=Stage.BOOKED, **seam):
    work = make.work(seams=(make.seam(**seam),))
    return list(seam_made.check(make.job(work=work, record=make.record(stage=stage))))


@pytest.mark.parametrize(
    ("inches", "is_kept"), [(3 / 64, True), (5 / 64, True), (0.046, False), (0.079, False)]
)
def test_the_width_of_a_seam(inches, is_kept) -> None:
    """1/16 in, 1/64 more or less."""
    assert (not findings(**(GOOD | {"gap_mm": inches * MM_PER_INCH}))) is is_kept


@pytest.mark.parametrize(
    ("name", "mm", "said"),
    [("edge_lippage_mm", 0.3, "none should be felt"), ("lippage_mm", 0.9, "the most is 0.8")],
)
def test_the_lippage_of_a_seam(name, mm, said) -> None:
    (found,) = findings(**(GOOD | {name: mm}))
    assert said in found.message


def test_only_an_installed_seam_is_asked_for() -> None:
    assert findings() == []
    (found,) = findings(Stage.INSTALLED)
    assert found.message == "width or lippage not measured: A-B"
