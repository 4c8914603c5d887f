"""Days of many stops: by the route solver where there is one, judged by our own rules."""

import pytest

from crewjobs.domain.scheduling import (
    Problem,
    Slot,
    Window,
    after_iterations,
    evaluate,
    long_routes,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.build import inserted
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, visit

pytestmark = pytest.mark.skipif(
    not long_routes.IS_INSTALLED, reason="NO ROUTE SOLVER: install the extra routes"
)


def rounds(crews: int = 2, visits: int = 24, **fields) -> Problem:
    """Measuring rounds: short visits along two roads, every third in a window of its own."""
    return boards.problem(
        [crew_day(f"T{n}", **fields) for n in range(crews)],
        [
            visit(
                f"v{n:02}",
                (n * 7) % 40 - 20,
                (n * 5) % 11,
                duration_min=25,
                windows=(Window(day=day(0), earliest_min=480 + 10 * n, latest_min=700 + 10 * n),)
                if n % 3 == 0
                else None,
            )
            for n in range(visits)
        ],
    )


def test_only_boards_of_long_days_are_for_the_route_solver():
    assert long_routes.are_usual(Board(rounds()))
    assert not long_routes.are_usual(Board(boards.random_problem(1, Shape())))
    assert not long_routes.are_usual(Board(boards.problem([], [])))


def test_its_plan_is_judged_and_no_dearer_than_insertion():
    problem = rounds()
    plan = solve(problem, seed=1, stop=after_iterations(300))
    assert verify(problem, plan) == ()
    board = Board(problem)
    assert plan.cost.total <= evaluate.breakdown(board, inserted(board, {})).total
    assert len(plan.placed) == 24


def test_the_same_seed_and_iterations_give_the_same_plan():
    problem = rounds()
    plans = [solve(problem, seed=3, stop=after_iterations(150)) for _ in range(2)]
    assert plans[0] == plans[1]


def test_what_was_published_stays_where_moving_wins_nothing():
    problem = rounds(visits=14)
    plan = solve(problem, seed=1, stop=after_iterations(300))
    told = boards.published(problem, plan)
    again = solve(told, seed=2, stop=after_iterations(300))
    assert verify(told, again) == ()
    assert again.cost.total <= plan.cost.total
    assert boards.slots(again) == boards.slots(plan)


def test_locks_skills_and_loads_hold():
    skilled = [
        crew_day("T0", skills=frozenset({"template"}), payload_kg=100),
        crew_day("T1", payload_kg=100),
    ]
    visits = [
        visit(f"v{n}", n, duration_min=20, mass_kg=12,
              skills=frozenset({"template"}) if n < 5 else frozenset(),
              lock=Slot(crew="T1", day=day(0)) if n in (7, 8) else None)
        for n in range(18)
    ]  # fmt: skip
    problem = boards.problem(skilled, visits)
    assert long_routes.are_usual(Board(problem))
    plan = solve(problem, seed=1, stop=after_iterations(200))
    assert verify(problem, plan) == ()
    at = {stop.visit: stop.crew for stop in plan.placed}
    assert {at[f"v{n}"] for n in range(5)} == {"T0"}
    assert {at[f"v{n}"] for n in (7, 8)} == {"T1"}
    assert len(plan.placed) == 16  # eight pieces of 12 kg on each truck
