"""Plans by hand, by property, and against the cheapest of all plans."""

from dataclasses import replace
from itertools import combinations, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    After,
    Problem,
    Schedule,
    Slot,
    Window,
    after_iterations,
    compare,
    evaluate,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, slots, visit


def plan(problem: Problem, iterations: int = 40, seed: int = 1, warm=None, idle=None) -> Schedule:
    """A plan that the judge has nothing against."""
    schedule = solve(problem, seed=seed, stop=after_iterations(iterations, idle=idle), warm=warm)
    assert verify(problem, schedule) == ()
    return schedule


def small(seed: int, **shape) -> Problem:
    return boards.random_problem(seed, Shape(**({"crews": 2, "days": 2, "visits": 5} | shape)))


def least_cost(problem: Problem) -> int:
    """The cost of the cheapest plan there is, by trying all."""
    board = Board(problem)
    visits = range(len(board.visits))
    routes = {
        (k, chosen): min(costs)
        for k in range(len(board.crew_days))
        for size in range(1, len(board.visits) + 1)
        for chosen in combinations(visits, size)
        if (costs := _costs(board, k, chosen))
    }

    def from_on(k: int, days: dict[int, int]) -> int:
        left = [i for i in visits if i not in days]
        if k == len(board.crew_days):
            return sum(board.price[i] for i in left) if _in_order(board, days) else 10**9
        best = from_on(k + 1, days)
        for size in range(1, len(left) + 1):
            for chosen in combinations(left, size):
                if (k, chosen) in routes:
                    then = from_on(k + 1, days | dict.fromkeys(chosen, board.day[k]))
                    best = min(best, routes[k, chosen] + then)
        return best

    return from_on(0, {})


def _costs(board: Board, crew_day: int, chosen) -> list[int]:
    orders = (evaluate.route_cost(board, crew_day, order) for order in permutations(chosen))
    return [cost for cost in orders if cost is not None]


def _in_order(board: Board, days: dict[int, int]) -> bool:
    return all(
        before in days and days[i] - days[before] >= lead
        for i, (before, lead) in board.predecessor.items()
        if i in days
    )


def test_two_visits_on_one_way_share_a_crew_day():
    two = boards.problem([crew_day(), crew_day("B")], [visit("near", 10), visit("far", 20)])
    schedule = plan(two)
    assert len({(stop.crew, stop.day) for stop in schedule.placed}) == 1
    assert schedule.cost.total == 300 + 10 * 40


def test_the_problem_may_be_empty():
    assert plan(boards.problem([], [])) == Schedule()
    assert plan(boards.problem([crew_day()], [])) == Schedule()
    nobody = plan(boards.problem([], [visit()]))
    assert nobody.unplaced[0].reasons[0].code == "no_crew_day"


def test_a_day_off_is_a_crew_day_that_is_not_there():
    window = (Window(day=day(1)),)
    away = boards.problem([crew_day(on=0), crew_day(on=2)], [visit(windows=window)])
    assert plan(away).placed == ()
    here = boards.problem([crew_day(on=1)], [visit(windows=window)])
    assert slots(plan(here))["v"][:2] == ("A", 1)


def test_a_locked_visit_stays_and_the_others_go_round_it():
    locked = visit("locked", 40, lock=Slot(crew="B", day=day(1), start_min=700))
    others = [visit(f"v{i}", 40) for i in range(4)]
    crews = [crew_day(crew, on) for crew in "AB" for on in (0, 1)]
    schedule = plan(boards.problem(crews, [locked, *others]))
    assert slots(schedule)["locked"] == ("B", 1, 700)
    assert schedule.unplaced == ()


def test_the_urgent_visit_gets_the_only_place():
    both = [visit("usual", 10, duration_min=400), visit("urgent", 30, duration_min=400, priority=3)]
    assert list(slots(plan(boards.problem([crew_day()], both)))) == ["urgent"]


def test_the_work_goes_to_the_crew_that_can_do_it():
    skilled = crew_day("B", hands=4, skills=frozenset({"install", "sink"}))
    heavy = visit(hands=4, skills=frozenset({"sink"}))
    assert slots(plan(boards.problem([crew_day(), skilled], [heavy])))["v"][0] == "B"


def test_the_install_comes_after_the_template_with_its_lead():
    template = visit("template", 10, ready_on=day(1))
    install = visit("install", 10, after=After(visit="template", lead_days=2), priority=3)
    crews = [crew_day(on=on) for on in range(5)]
    found = slots(plan(boards.problem(crews, [install, template])))
    assert found["install"][1] - found["template"][1] >= 2


def test_no_install_without_its_template():
    template = visit("template", hands=9)
    install = visit("install", after=After(visit="template"))
    schedule = plan(boards.problem([crew_day(on=on) for on in range(3)], [template, install]))
    reasons = {left.visit: left.reasons[0].code for left in schedule.unplaced}
    assert reasons == {"template": "too_few_hands", "install": "waits_for"}


@settings(max_examples=20, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    crews=st.integers(1, 3),
    load_share=st.sampled_from([0.3, 0.6, 1.2]),
    afters=st.integers(0, 2),
)
def test_the_search_finds_the_cheapest_of_all_plans(seed, crews, load_share, afters):
    problem = small(seed, crews=crews, load_share=load_share, afters=afters)
    assert plan(problem, 1000, idle=250).cost.total == least_cost(problem)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), load_share=st.sampled_from([0.3, 0.8]))
def test_the_cheapest_plan_is_found_with_promises_horizon_and_rush_hours(seed, load_share):
    problem = boards.everything(small(seed, load_share=load_share), seed)
    assert plan(problem, 1000, idle=250).cost.total == least_cost(problem)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), other=st.integers(0, 10**6))
def test_the_cheapest_plan_is_also_found_when_something_is_published(seed, other):
    problem = small(seed, crews=2, afters=1)
    told = boards.published(problem, plan(problem, 10, seed=other))
    fewer = replace(told, crew_days=told.crew_days[1:])
    assert plan(fewer, 1000, idle=100).cost.total == least_cost(fewer)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 4), iterations=st.integers(0, 40))
def test_no_plan_breaks_a_rule_and_search_never_makes_it_dearer(seed, afters, iterations):
    problem = boards.random_problem(seed, Shape(crews=2, days=6, visits=20, afters=afters))
    assert plan(problem, iterations).cost.total <= plan(problem, 0).cost.total


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_one_more_crew_never_makes_the_best_plan_dearer(seed):
    problem = small(seed, crews=2, days=1, visits=6)
    third = replace(problem.crew_days[0], crew="one more")
    more = replace(problem, crew_days=(*problem.crew_days, third))
    assert plan(more).cost.total <= plan(problem).cost.total


def test_the_same_seed_and_iterations_make_the_same_plan():
    problem = boards.random_problem(5, Shape(crews=3, days=3, visits=18, afters=3))
    assert plan(problem, 60, seed=8) == plan(problem, 60, seed=8)


def test_the_stop_rule_counts_iterations_and_idle_ones():
    problem = boards.random_problem(5, Shape(crews=2, days=2, visits=8))
    seen = []

    def stop(progress) -> bool:
        seen.append(progress)
        return after_iterations(10_000, idle=30)(progress)

    schedule = solve(problem, seed=1, stop=stop)
    assert seen[-1].idle == 30
    counts = [progress.iterations for progress in seen]
    assert sorted(set(counts)) == list(range(counts[-1] + 1))
    assert counts == sorted(counts)
    assert seen[-1].cost == schedule.cost.total


@pytest.mark.parametrize("seed", range(3))
def test_nothing_moves_when_nothing_changed(seed):
    problem = boards.random_problem(seed, Shape(crews=2, days=5, visits=18))
    before = plan(problem, 150)
    again = plan(boards.published(problem, before), 150, seed=seed + 1, warm=before)
    assert compare(before, again) == ()


def test_prices_on_moves_spare_a_third_of_them_when_a_crew_falls_ill():
    moves = [moves_after_illness(seed) for seed in range(4)]
    assert 3 * sum(priced for priced, _ in moves) <= 2 * sum(unpriced for _, unpriced in moves)


def moves_after_illness(seed: int) -> tuple[int, int]:
    """What moves when a crew-day is lost, with the plan published and without."""
    problem = boards.random_problem(seed, Shape(crews=3, days=3, visits=18))
    before = plan(problem, 80)
    ill = before.placed[0].crew, before.placed[0].day
    fewer = tuple(c for c in problem.crew_days if (c.crew, c.day) != ill)
    priced = plan(replace(boards.published(problem, before), crew_days=fewer), 80)
    unpriced = plan(replace(problem, crew_days=fewer), 80, warm=before)
    return len(compare(before, priced)), len(compare(before, unpriced))


def test_a_plan_is_taken_up_where_it_was_left():
    problem = boards.random_problem(2, Shape(crews=3, days=5, visits=30))
    before = plan(problem, 100)
    assert plan(problem, 0, warm=before).cost.total <= before.cost.total
    assert plan(problem, 0).cost.total > before.cost.total


def test_what_no_longer_fits_is_taken_out_of_a_warm_plan():
    crews = [crew_day(on=on) for on in (0, 1)]
    before = plan(boards.problem(crews, [visit("a", 10), visit("gone", 11), visit("b", 12)]))
    longer = [visit("a", 10, duration_min=400), visit("b", 12, duration_min=400, hands=3)]
    after = plan(boards.problem(crews, longer), 0, warm=before)
    assert list(slots(after)) == ["a"]
    assert [left.visit for left in after.unplaced] == ["b"]


def test_a_published_visit_is_not_dropped_for_a_new_one():
    old = visit("old", 10, duration_min=400, promise=Slot(crew="A", day=day(0), start_min=490))
    new = visit("new", 10, duration_min=400, priority=3)
    assert list(slots(plan(boards.problem([crew_day()], [old, new])))) == ["old"]


def test_compare_names_what_moved_came_and_went():
    crews = [crew_day(on=on) for on in (0, 1)]
    before = plan(boards.problem(crews, [visit("stays", 10), visit("goes", 10)]))
    locked = visit("stays", 10, lock=Slot(crew="A", day=day(1), start_min=600))
    after = plan(boards.problem(crews, [locked, visit("comes", 10)]))
    moves = {
        move.visit: (move.before is None, move.after is None) for move in compare(before, after)
    }
    assert moves == {"stays": (False, False), "goes": (False, True), "comes": (True, False)}
    assert compare(before, before) == ()


@pytest.mark.parametrize(
    ("crew_days", "visits", "named"),
    [
        ([crew_day(), crew_day()], [], "crew-day"),
        ([], [visit("v"), visit("v")], "visit v"),
        ([], [visit("v", after=After(visit="w"))], "no visit w"),
        ([], [visit("v", after=After(visit="v"))], "come after itself"),
        (
            [],
            [visit("v", after=After(visit="w")), visit("w", after=After(visit="v"))],
            "come after itself",
        ),
    ],
)
def test_an_impossible_problem_is_refused(crew_days, visits, named):
    with pytest.raises(ValueError, match=named):
        boards.problem(crew_days, visits)


def test_a_day_may_hold_very_many_short_visits():
    many = [visit(f"v{i}", 5, duration_min=3) for i in range(90)]
    schedule = plan(boards.problem([crew_day(), crew_day("B")], many), 5)
    assert schedule.unplaced == ()


@pytest.mark.parametrize(
    "fields",
    [
        {"duration_min": 0},
        {"place": boards.YARD},
        {"place": boards.YARD, "duration_min": 0},
        {"due_on": day(-400), "ready_on": day(-400)},
        {"windows": (Window(day=day(-3)), Window(day=day(0), earliest_min=0, latest_min=0))},
        {"mass_kg": 1e9},
        {"lock": Slot(crew="A", day=day(0), start_min=600)},
    ],
)
def test_odd_visits_are_planned_or_named(fields):
    odd = [replace(visit(f"v{i}"), **fields) for i in range(6)]
    schedule = plan(boards.problem([crew_day(), crew_day("B")], odd), 5)
    assert all(left.reasons for left in schedule.unplaced)


def test_a_visit_that_is_long_overdue_is_placed_all_the_same() -> None:
    late = visit("v", due_on=day(-30))
    found = plan(boards.problem([crew_day("A", on) for on in range(3)], [late]))
    assert slots(found)["v"][1] == 0
