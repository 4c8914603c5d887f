"""A visit put elsewhere by hand."""

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    Schedule,
    Slot,
    Wish,
    after_iterations,
    moved,
    solve,
    verify,
)
from tests.domain.scheduling.boards import (
    Shape,
    crew_day,
    day,
    problem,
    random_problem,
    slots,
    visit,
)


def plan_of(board) -> Schedule:
    return solve(board, seed=1, stop=after_iterations(20))


def two_visits():
    board = problem(
        [crew_day("A", 0), crew_day("A", 1), crew_day("B", 0)],
        [visit("v", 10), visit("w", 20)],
    )
    return board, plan_of(board)


def test_the_visit_goes_where_it_is_wanted() -> None:
    board, plan = two_visits()
    wanted = Slot(crew="A", day=day(1), start_min=600)
    after = moved(board, plan, Wish(visit="v", to=wanted))
    assert slots(after)["v"] == ("A", 1, 600)
    assert verify(board, after) == ()


def test_the_others_stay_with_their_crew_and_day() -> None:
    board, plan = two_visits()
    after = moved(board, plan, Wish(visit="v", to=Slot(crew="B", day=day(0), start_min=600)))
    assert slots(after)["w"][:2] == slots(plan)["w"][:2]


def test_a_visit_can_be_taken_out() -> None:
    board, plan = two_visits()
    after = moved(board, plan, Wish(visit="v", to=None))
    assert [each.visit for each in after.unplaced] == ["v"]


def test_what_cannot_be_is_left_out_with_its_reasons() -> None:
    board, plan = two_visits()
    for wanted, code in [
        (Slot(crew="B", day=day(1), start_min=600), "day_off"),
        (Slot(crew="A", day=day(0), start_min=60 * 17), "too_long_for_shift"),
    ]:
        after = moved(board, plan, Wish(visit="v", to=wanted))
        assert [(each.visit, each.reasons[0].code) for each in after.unplaced] == [("v", code)]


def test_a_promise_that_moves_is_counted_against_what_is_published() -> None:
    board = problem(
        [crew_day("A", 0), crew_day("A", 1)],
        [visit("v", promise=Slot(crew="A", day=day(0), start_min=490))],
    )
    after = moved(
        board, plan_of(board), Wish(visit="v", to=Slot(crew="A", day=day(1), start_min=490))
    )
    assert after.cost.moved == board.costs.moved_day


@settings(max_examples=20, deadline=None)
@given(
    st.integers(0, 50),
    st.integers(0, 11),
    st.integers(0, 1),
    st.integers(0, 3),
    st.integers(480, 960),
)
def test_a_moved_plan_breaks_no_rule(seed, which, crew, on, start_min) -> None:
    board = random_problem(seed, Shape(crews=2, days=4, visits=12))
    plan = plan_of(board)
    name = board.visits[which].id
    at = board.crew_days[min(crew * 4 + on, len(board.crew_days) - 1)]
    after = moved(
        board, plan, Wish(visit=name, to=Slot(crew=at.crew, day=at.day, start_min=start_min))
    )
    assert verify(board, after) == ()
    left_out = {each.visit: each.reasons for each in after.unplaced}
    assert name in slots(after) or left_out[name]
