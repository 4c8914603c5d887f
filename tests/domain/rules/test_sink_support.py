import pytest

from crewjobs.domain.facts import Work
from crewjobs.domain.rules import sink_support
from tests import make


def findings(**hole):
    piece = make.piece(cutouts=(make.sink(**hole),))
    return [f.message for f in sink_support.check(make.job(work=Work(pieces=(piece,))))]


@pytest.mark.parametrize(
    ("hole", "said"),
    [
        ({"is_supported": False, "cabinet_mm": 900}, "support it from the cabinet"),
        ({"is_supported": True, "cabinet_mm": 700}, "760 mm wide, the cabinet has 700 mm inside"),
        ({}, "not measured: A undermount sink"),
    ],
)
def test_what_hangs_from_the_stone_or_does_not_fit(hole, said) -> None:
    (found,) = findings(**hole)
    assert said in found


def test_a_sink_that_stands_and_fits_is_silent() -> None:
    assert findings(is_supported=True, cabinet_mm=800) == []
