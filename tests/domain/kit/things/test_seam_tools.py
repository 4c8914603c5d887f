import pytest

from tests import make
from tests.domain.kit.one_thing import amounts, lines


@pytest.mark.parametrize(("length_mm", "pullers"), [(300, 2), (800, 2), (801, 3), (1600, 4)])
def test_a_puller_each_400_mm_and_two_at_least(length_mm, pullers):
    found = amounts(lines("seam_tools", seams=(make.seam(length_mm=length_mm),)))
    assert found == {
        "seam puller and leveler": pullers, "masking tape": 2 * length_mm, "scraper blade": 1,
    }  # fmt: skip


def test_none_without_seams():
    assert lines("seam_tools", seams=()) == []
