import pytest

from crewjobs.domain.facts import VisitKind
from tests.domain.kit.one_thing import amounts, lines, outing


@pytest.mark.parametrize(("run_mm", "shims"), [(600, 2), (4500, 16), (4801, 18)])
def test_a_pair_of_shims_each_600_mm(run_mm, shims):
    found = amounts(lines("leveling", cabinet_run_mm=run_mm))
    assert found == {"level": 1, "straightedge": 1, "shims": shims}


def test_no_shims_on_a_return_visit():
    assert "shims" not in amounts(lines("leveling", outing(VisitKind.RETURN)))


def test_nothing_to_level_without_cabinets_and_stone():
    assert lines("leveling", cabinet_run_mm=0, pieces=(), seams=()) == []
