from dataclasses import replace

import pytest

from crewjobs.domain.facts import CutoutKind, DustRules
from tests import make
from tests.domain.kit.one_thing import lines, outing


def rows(rules, **fields):
    found = outing(pieces=(make.piece(**fields),), seams=())
    return lines("respirators", replace(found, job=replace(found.job, dust_rules=rules)))


@pytest.mark.parametrize(("rules", "worn"), [(DustRules.US, "APF 10"), (DustRules.UK, "APF 20")])
def test_one_for_each_person_near_a_saw_indoors(rules, worn):
    (line,) = rows(rules, needs_field_cut=True)
    assert (line.name, line.value) == (f"respirator, {worn}", 3)


def test_a_wet_core_drill_asks_for_none_in_the_us_and_for_one_in_the_uk():
    hole = make.sink(kind=CutoutKind.TAP_HOLE, width_mm=35, height_mm=35, is_made_on_site=True)
    assert rows(DustRules.US, cutouts=(hole,)) == []
    assert len(rows(DustRules.UK, cutouts=(hole,))) == 1


def test_none_where_nothing_is_cut():
    assert rows(None) == []
