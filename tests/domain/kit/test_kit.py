"""The whole kit of a visit: ordered, reasoned, and never a figure without its rule."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import Group, kit, things
from tests import make
from tests.domain.kit.one_thing import outing


def test_the_lines_of_a_group_stand_together_and_carry_their_source():
    found = kit(outing())
    order = [list(Group).index(line.group) for line in found]
    assert order == sorted(order)
    assert all(line.why and line.source for line in found)


def test_each_file_has_a_title_that_is_a_sentence():
    assert len(things.titles()) >= 15
    assert all(re.fullmatch(r"[A-Z].*\.", title) for title in things.titles().values())


@pytest.mark.parametrize("kind", list(VisitKind))
def test_a_job_without_stone_has_a_kit_too(kind):
    assert kit(outing(kind, pieces=(), seams=(), route=(), cabinet_run_mm=0))


def test_a_return_visit_brings_no_shims_but_adhesive():
    names = " ".join(line.name for line in kit(outing(VisitKind.RETURN)))
    assert "knife grade" in names
    assert "shims" not in names


sizes = st.floats(300, 3600)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(sizes, min_size=1, max_size=5), st.booleans(), st.floats(0, 40), st.floats(300, 9000)
)
def test_amounts_are_above_zero_and_more_stone_never_asks_for_less(lengths, is_cut, degrees, run):
    def amounts(count):
        tops = tuple(
            make.piece(f"P{n}", length, needs_field_cut=is_cut)
            for n, length in enumerate(lengths[:count])
        )
        joined = tuple(make.seam(f"P{n}", f"P{n + 1}") for n in range(count - 1))
        found = kit(
            outing(pieces=tops, seams=joined, temperature_deg_c=degrees, cabinet_run_mm=run)
        )
        assert all(line.value is None or line.value > 0 for line in found)
        whole: dict[tuple[str, float | None], float] = {}
        for line in found:
            key = (line.name, line.size_mm)
            whole[key] = whole.get(key, 0) + (line.value or 0)
        return whole

    more = amounts(len(lengths))
    for key, value in amounts(1).items():
        assert more[key] >= value - 1e-9, key
