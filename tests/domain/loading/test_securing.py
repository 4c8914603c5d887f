import pytest

from crewjobs.domain.loading import securing
from crewjobs.domain.units import KG_PER_POUND, MM_PER_INCH


@pytest.mark.parametrize(
    ("feet", "pounds", "loose", "blocked"),
    [
        (5, 1100, 1, 1), (5, 1101, 2, 1), (4, 1500, 2, 1), (6, 200, 2, 1), (10, 3000, 2, 1),
        (10.1, 3000, 3, 2), (20, 3000, 3, 2), (21, 3000, 4, 3),
    ],
)  # fmt: skip
def test_the_count_of_tie_downs(feet, pounds, loose, blocked) -> None:
    """49 CFR 393.110(b) and (c), worked by hand."""
    length, mass = feet * 12 * MM_PER_INCH, pounds * KG_PER_POUND
    assert securing.tie_downs(length, mass) == loose
    assert securing.tie_downs(length, mass, is_blocked=True) == blocked


def test_how_strong_and_how_far_down() -> None:
    """600 kg are 1,322.77 lb: 661.39 lb of working load limit, 264.55 lb downwards."""
    assert securing.least_limit_kg(600) / KG_PER_POUND == pytest.approx(661.39, abs=0.005)
    assert securing.down_kg(600) / KG_PER_POUND == pytest.approx(264.55, abs=0.005)
