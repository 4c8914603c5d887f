"""When trades may come: each report counts, and nothing that is missing makes it sooner."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.curing import OnSite, cured, silicone_min, sink_min
from crewjobs.domain.facts import Cutout, CutoutKind, Piece, Report, ReportKind, Seam, Work
from crewjobs.domain.limits import Limits

K = ReportKind
NOON = datetime(2026, 6, 3, 12, tzinfo=UTC)
FLAT = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 650.0), (0.0, 650.0))
SINK = Cutout(kind=CutoutKind.UNDERMOUNT_SINK, x_mm=500, y_mm=300, width_mm=700, height_mm=400)
TOPS = (
    Piece(name="A", outline_mm=FLAT, thickness_mm=30, cutouts=(SINK,)),
    Piece(name="B", outline_mm=FLAT, thickness_mm=30),
)
KITCHEN = Work(pieces=TOPS, seams=(Seam(name="A-B", first="A", second="B", length_mm=650),))
DAY, HOUR, MINUTE = timedelta(1), timedelta(hours=1), timedelta(minutes=1)


def at(hour: float) -> datetime:
    return NOON + hour * HOUR


def told(kind: ReportKind, hour: float, about: str = "") -> Report:
    return Report(client_id=f"{kind} {about} {hour}", kind=kind, happened_at=at(hour), about=about)


WHOLE_DAY = (
    told(K.SEAM_POURED, 1, "A-B"), told(K.SINK_SET, 2, "A"), told(K.SILICONE_DONE, 3)
)  # fmt: skip


def test_before_the_visit_all_counts_from_its_planned_end() -> None:
    found = cured(KITCHEN, [OnSite(ends_at=at(4))])
    assert found is not None
    assert (found.silicone_at, found.adhesive_at) == (at(4) + DAY, at(4) + DAY)
    assert found.is_foretold


def test_after_it_each_counts_from_its_own_report() -> None:
    found = cured(KITCHEN, [OnSite(reports=WHOLE_DAY, ends_at=at(4), is_over=True)])
    assert found is not None
    assert (found.adhesive_at, found.silicone_at) == (at(2) + DAY, at(3) + DAY)
    assert found.earliest_at == at(3) + DAY
    assert not found.is_foretold


def test_a_seam_alone_is_hard_after_its_twelve_minutes_or_when_somebody_saw_it() -> None:
    plain = replace(KITCHEN, pieces=tuple(replace(piece, cutouts=()) for piece in TOPS))
    seen = told(K.SEAM_HARD, 1.5, "A-B")
    for reports, hard_at in (
        (WHOLE_DAY, at(1) + 12 * MINUTE),
        ((*WHOLE_DAY, seen), at(1.5)),
        ((*WHOLE_DAY, seen, told(K.SEAM_POURED, 2, "A-B")), at(2) + 12 * MINUTE),
    ):
        found = cured(plain, [OnSite(reports=reports, ends_at=at(4), is_over=True)])
        assert found is not None
        assert found.adhesive_at == hard_at


def test_cold_doubles_what_the_sink_is_held_and_the_silicone_cures() -> None:
    cold = replace(KITCHEN, temperature_deg_c=0)
    found = cured(cold, [OnSite(reports=WHOLE_DAY, ends_at=at(4), is_over=True)])
    assert found is not None
    assert (found.adhesive_at, found.silicone_at) == (at(2) + 4 * DAY, at(3) + 2 * DAY)


def test_the_shop_s_own_limits_count() -> None:
    own = Limits(silicone_cure_min=60, sink_hold_min=90)
    visit = OnSite(reports=WHOLE_DAY, ends_at=at(4), is_over=True)
    found = cured(KITCHEN, [visit], limits=own)
    assert found is not None
    assert (found.adhesive_at, found.silicone_at) == (at(3.5), at(4))


def test_a_sink_from_the_shop_is_not_waited_for() -> None:
    set_before = replace(SINK, is_set_in_shop=True)
    shop_made = Work(pieces=(replace(TOPS[0], cutouts=(set_before,)),))
    found = cured(shop_made, [OnSite(ends_at=at(4))])
    assert found is not None
    assert found.adhesive_at is None
    assert found.earliest_at == found.silicone_at


@pytest.mark.parametrize(
    "visits",
    [
        [],
        [OnSite()],
        [OnSite(does_all=False, ends_at=at(4))],
        [OnSite(ends_at=at(4)), OnSite()],
        [OnSite(does_all=False, reports=WHOLE_DAY[1:], ends_at=at(4))],
    ],
    ids=["none", "no end", "a return only", "one of two has no end", "no word of the seam"],
)
def test_nothing_is_foretold_where_nobody_knows(visits) -> None:
    assert cured(KITCHEN, visits) is None


def test_silicone_of_a_return_visit_counts_anew() -> None:
    first = OnSite(reports=WHOLE_DAY, ends_at=at(4), is_over=True)
    back = OnSite(does_all=False, reports=(told(K.SILICONE_DONE, 100),), is_over=True)
    found = cured(KITCHEN, [first, back])
    assert found is not None
    assert found.earliest_at == at(100) + DAY


@given(
    st.lists(st.sampled_from(WHOLE_DAY), unique=True),
    st.floats(3, 30),
    st.floats(-10, 40),
)
def test_what_is_not_reported_never_makes_it_sooner(kept, end_hour, deg_c) -> None:
    work = replace(KITCHEN, temperature_deg_c=deg_c)
    whole = cured(work, [OnSite(reports=WHOLE_DAY, ends_at=at(end_hour), is_over=True)])
    fewer = cured(work, [OnSite(reports=tuple(kept), ends_at=at(end_hour), is_over=True)])
    assert whole is not None
    assert fewer is not None
    assert fewer.earliest_at >= whole.earliest_at


@given(st.floats(-20, 60), st.floats(-20, 60))
def test_nothing_cures_sooner_where_it_is_colder(one_deg_c, other_deg_c) -> None:
    cold, warm = sorted((one_deg_c, other_deg_c))
    assert silicone_min(cold) >= silicone_min(warm)
    assert sink_min(cold) >= sink_min(warm) >= sink_min(20)
