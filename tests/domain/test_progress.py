"""What the reports of a visit add up to, in whatever order they come."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain import progress
from crewjobs.domain.facts import ReportKind, Stage, Team, VisitKind
from crewjobs.domain.hours import Model, elements
from crewjobs.domain.hours.steps import Visit
from tests import make

K = ReportKind
USUAL = (
    make.report(K.ON_THE_WAY, minute=-20),
    make.report(K.ARRIVED, minute=10),
    make.report(K.WALK_THROUGH_DONE, minute=20),
    make.report(K.PIECE_SET, "A", 70),
    make.report(K.PIECE_SET, "B", 100),
    make.report(K.SEAM_POURED, "A-B", 120),
    make.report(K.SINK_SET, "A", 130),
    make.report(K.SEAM_HARD, "A-B", 150),
    make.report(K.SILICONE_DONE, minute=160),
    make.report(K.CLEANED, minute=170),
    make.report(K.REVIEWED, minute=180),
    make.report(K.LEFT, minute=190),
)


def derive(*reports, kind: VisitKind = VisitKind.INSTALL) -> progress.Progress:
    return progress.derive(reports, kind=kind, work=make.work())


def finish(
    *reports, kind: VisitKind = VisitKind.INSTALL, start: dt.datetime | None = make.START
) -> progress.Finish:
    visit = Visit(kind=kind, work=make.work(), team=Team(hands=3), carrier_kg=25)
    return progress.finish(
        reports,
        derive(*reports, kind=kind),
        planned=progress.Planned(starts_at=start, p50_min=180, p80_min=210),
        visit=visit,
        model=Model(),
    )


def minute(at: dt.datetime | None) -> float:
    assert at is not None
    return (at - make.START) / dt.timedelta(minutes=1)


def test_before_the_start_the_plan_and_the_hours_say_the_end() -> None:
    found = derive()
    assert (found.stage, found.started_at, found.actual_min) == (None, None, None)
    assert found.done_share == 0
    assert [minute(at) for at in finish()] == [180, 210]


def test_without_plan_and_reports_nobody_knows_the_end() -> None:
    assert finish(start=None) == (None, None)


def test_on_the_way_is_not_on_site() -> None:
    assert derive(USUAL[0]).stage is None


def test_an_arrival_moves_the_whole_visit() -> None:
    found = derive(*USUAL[:2])
    assert (found.stage, minute(found.started_at)) == (Stage.ON_SITE, 10)
    assert [minute(at) for at in finish(*USUAL[:2])] == [10 + 180, 10 + 210]


def test_what_is_done_is_a_share_of_all_parts() -> None:
    """Two pieces 8, a seam 3, a sink 2, walk-through, silicone 2, cleaning, review: 18 parts."""
    found = derive(*USUAL[:4])
    assert found.done_share == pytest.approx(5 / 18)
    assert found.pieces_set == {"A"}


def test_the_rest_is_longest_at_first_and_nothing_after_the_review() -> None:
    left = [finish(*USUAL[:count]) for count in range(3, 12)]
    rests = [minute(each.p50_at) - minute(USUAL[n + 2].happened_at) for n, each in enumerate(left)]
    assert max(rests) == rests[0]
    assert rests[-1] == 0


def test_a_slow_morning_moves_the_finish_by_more_than_it_lost() -> None:
    quick = (USUAL[1], make.report(K.PIECE_SET, "A", 50))
    slow = (USUAL[1], make.report(K.PIECE_SET, "A", 150))
    lost = minute(finish(*slow).p50_at) - minute(finish(*quick).p50_at)
    assert lost > 100


def test_a_night_between_two_stays_is_not_taken_for_slow_work() -> None:
    at_once = (*USUAL[1:4], make.report(K.ARRIVED, minute=81))
    away = (*USUAL[1:4], make.report(K.LEFT, minute=80), make.report(K.ARRIVED, minute=1081))
    assert minute(finish(*away).p50_at) == pytest.approx(minute(finish(*at_once).p50_at) + 1001, 1)


def test_the_usual_visit_ends_installed() -> None:
    found = derive(*USUAL)
    assert (found.stage, found.done_share, found.actual_min) == (Stage.INSTALLED, 1, 180)
    assert minute(found.finished_at) == minute(finish(*USUAL).p50_at) == 190


def test_a_review_ends_the_work_before_the_crew_has_left() -> None:
    found = derive(*USUAL[:-1])
    assert (found.stage, found.finished_at, found.actual_min) == (Stage.INSTALLED, None, None)


def test_leaving_before_every_piece_is_set_is_not_installed() -> None:
    reports = (*USUAL[:4], make.report(K.LEFT, minute=80))
    found = derive(*reports)
    assert (found.stage, minute(finish(*reports).p80_at)) == (Stage.ON_SITE, 80)
    assert found.done_share == pytest.approx(5 / 18)


def test_coming_back_opens_the_visit_and_adds_the_second_stay() -> None:
    back = (make.report(K.LEFT, minute=80), make.report(K.ARRIVED, minute=110))
    assert derive(*USUAL[:4], *back).finished_at is None
    assert derive(*USUAL, *back).actual_min == (80 - 10) + (190 - 110)


def test_hours_are_not_learned_from_a_visit_without_an_arrival() -> None:
    found = derive(*USUAL[2:])
    assert (minute(found.started_at), found.actual_min) == (20, None)


def test_a_lone_leaving_begins_and_ends_the_visit() -> None:
    found = derive(make.report(K.LEFT, minute=190))
    assert found.started_at == found.finished_at


def test_a_hard_seam_has_been_poured() -> None:
    assert derive(USUAL[1], USUAL[7]).done_share == pytest.approx(3 / 18)


def test_a_name_that_is_not_in_the_work_counts_nothing() -> None:
    assert derive(USUAL[1], make.report(K.PIECE_SET, "Z", 30)).done_share == 0


def test_a_site_that_is_not_ready_is_no_go_until_the_work_goes_on() -> None:
    refused = make.report(K.NO_GO, minute=25)
    assert derive(*USUAL[:3], refused).is_no_go
    assert not derive(*USUAL[:4], refused).is_no_go


def test_problems_are_counted() -> None:
    assert derive(make.report(K.PROBLEM, minute=1), make.report(K.PROBLEM, minute=2)).problems == 2


def test_a_template_visit_is_done_when_it_is_left() -> None:
    stay = (make.report(K.ARRIVED), make.report(K.LEFT, minute=50))
    found = derive(*stay, kind=VisitKind.TEMPLATE)
    assert (found.stage, found.done_share, found.actual_min) == (Stage.TEMPLATED, 1, 50)
    assert derive(stay[0], kind=VisitKind.TEMPLATE).stage is None


def test_a_template_visit_that_could_not_be_measured_is_not_templated() -> None:
    reports = (make.report(K.NO_GO, minute=5), make.report(K.LEFT, minute=10))
    assert derive(*reports, kind=VisitKind.TEMPLATE).stage is None


ids = st.integers(0, 11).map(str)
some_reports = st.lists(
    st.builds(
        make.report,
        st.sampled_from(list(ReportKind)),
        st.sampled_from(["", "A", "B", "A-B"]),
        st.integers(0, 12),
        ids,
    ),
    max_size=14,
)


@settings(max_examples=200, deadline=None)
@given(reports=some_reports, data=st.data(), kind=st.sampled_from(list(VisitKind)))
def test_order_and_repetition_change_nothing(reports, data, kind) -> None:
    shuffled = data.draw(st.permutations(reports))
    again = data.draw(st.lists(st.sampled_from(reports), max_size=5)) if reports else []
    assert derive(*reports, kind=kind) == derive(*shuffled, *again, kind=kind)
    assert finish(*reports, kind=kind) == finish(*shuffled, *again, kind=kind)


@settings(max_examples=200, deadline=None)
@given(reports=some_reports, more=some_reports)
def test_more_reports_never_take_a_stage_back(reports, more) -> None:
    more = [make.report(r.kind, r.about, 3, f"more {i}") for i, r in enumerate(more)]
    before, after = derive(*reports).stage, derive(*reports, *more).stage
    assert before is None or (after is not None and after.rank >= before.rank)


@settings(max_examples=200, deadline=None)
@given(reports=some_reports, kind=st.sampled_from(list(VisitKind)))
def test_what_is_derived_can_be_stored(reports, kind) -> None:
    found = derive(*reports, kind=kind)
    assert 0 <= found.done_share <= 1
    if found.finished_at:
        assert found.started_at is not None
        assert found.started_at <= found.finished_at == finish(*reports, kind=kind).p50_at
    p50_at, p80_at = finish(*reports, kind=kind)
    assert p50_at is not None
    assert p80_at is not None
    assert p50_at <= p80_at
    assert found.actual_min is None or found.actual_min >= 0


def at(value: float) -> dt.datetime:
    return make.START + dt.timedelta(minutes=value)


@pytest.mark.parametrize(
    ("p50", "p80", "word"),
    [(100, 200, None), (101, 130, None), (101, 131, "may be late"), (131, 131, "late")],
)
def test_a_finish_past_the_published_end_is_worth_a_word(p50, p80, word) -> None:
    assert progress.lateness(at(100), at(p50), at(p80)) == word


def behind(name: str, start: float) -> progress.Behind:
    return progress.Behind(name=name, starts_at=at(start), drive_min=20, spent_min=60)


def test_a_late_finish_pushes_back_until_a_gap_takes_it_up() -> None:
    later = [behind("third", 400), behind("first", 100), behind("second", 200)]
    pushed = progress.shifted(at(125), later)
    assert [(each.name, minute(each.expected_at)) for each in pushed] == [
        ("first", 145), ("second", 225),
    ]  # fmt: skip


def test_a_finish_in_time_pushes_nobody() -> None:
    assert list(progress.shifted(at(80), [behind("next", 100)])) == []


def test_the_walk_through_is_timed_by_two_reports_without_absence() -> None:
    assert progress.timed_min(USUAL) == {"arrive": 10}
    gone = (make.report(K.LEFT, minute=12), make.report(K.ARRIVED, minute=17))
    assert progress.timed_min((*USUAL[:3], *gone)) == {"arrive": 5}
    assert progress.timed_min(USUAL[2:]) == progress.timed_min(USUAL[:2]) == {}


@settings(max_examples=100, deadline=None)
@given(reports=some_reports, data=st.data())
def test_timed_elements_are_elements_and_last(reports, data) -> None:
    found = progress.timed_min(reports)
    assert all(minutes > 0 for minutes in found.values())
    assert found.keys() <= {element.name for element in elements.found()}
    assert found == progress.timed_min(data.draw(st.permutations(reports)))
