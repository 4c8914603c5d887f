"""Large boards in parts: nothing twice, nothing lost, and one plan that the judge accepts."""

from collections import Counter
from dataclasses import replace

import pytest

from crewjobs.domain.scheduling import (
    After,
    Problem,
    Schedule,
    Slot,
    after_iterations,
    solve,
    territory,
    verify,
)
from crewjobs.domain.scheduling.territory import Part
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, place, visit

SMALL = 8


def solved(part: Part, iterations: int = 4) -> Schedule:
    warm = part.warm if part.warm.placed else None
    return solve(part.problem, seed=part.seed, stop=after_iterations(iterations), warm=warm)


def spread(seed: int, afters: int = 4, visits: int = 24) -> Problem:
    """Six crews of three depots, each for four days, and visits all around."""
    problem = boards.random_problem(
        seed, Shape(crews=6, days=4, visits=visits, load_share=1.2, afters=afters)
    )
    depots = [place(-15), place(15), place(0, 15)]
    crew_days = tuple(
        replace(each, depot=depots[int(each.crew[-1]) % 3]) for each in problem.crew_days
    )
    return replace(problem, crew_days=crew_days)


def turns(problem: Problem, most: int = SMALL, count: int = 3) -> list[list[Part]]:
    """The parts of the first cut and of some more, each made of the plan before."""
    parts = territory.first_cut(problem, seed=1, most_crew_days=most)
    found = [list(parts)]
    for turn in range(1, count):
        plan = territory.joined(problem, [solved(part, 0) for part in parts])
        parts = territory.cut_again(problem, plan, turn=turn, seed=1, most_crew_days=most)
        found.append(list(parts))
    return found


@pytest.mark.parametrize("seed", range(8))
def test_every_visit_and_crew_day_is_in_one_part(seed):
    problem = spread(seed)
    for parts in turns(problem):
        assert len(parts) > 1
        names = Counter(each.id for part in parts for each in part.problem.visits)
        assert names == Counter(each.id for each in problem.visits)
        crew_days = Counter(each for part in parts for each in part.problem.crew_days)
        assert crew_days == Counter(problem.crew_days)
        assert max(len(part.problem.crew_days) for part in parts) <= 2 * SMALL


@pytest.mark.parametrize("seed", range(8))
def test_what_the_parts_plan_is_a_plan_of_the_whole_and_gets_better(seed):
    problem = spread(seed)
    parts = territory.first_cut(problem, seed=1, most_crew_days=SMALL)
    costs = []
    for turn in range(1, 5):
        plans = [solved(part) for part in parts]
        assert all(territory.is_kept(*both) for both in zip(parts, plans, strict=True))
        plan = territory.joined(problem, plans)
        assert verify(problem, plan) == ()
        costs.append(plan.cost.total)
        parts = territory.cut_again(problem, plan, turn=turn, seed=1, most_crew_days=SMALL)
    assert costs == sorted(costs, reverse=True)


def test_who_solves_the_parts_in_which_order_does_not_matter():
    problem = spread(3)
    parts = territory.first_cut(problem, seed=1, most_crew_days=SMALL)
    forwards = territory.joined(problem, [solved(part) for part in parts])
    backwards = territory.joined(problem, [solved(part) for part in reversed(parts)])
    assert forwards == backwards


def two_yards(**fields) -> Problem:
    """Crew A in the west and crew B in the east, two days each."""
    crew_days = [
        crew_day(crew, on, depot=place(x)) for crew, x in (("A", -50), ("B", 50)) for on in (0, 1)
    ]
    visits = [
        visit("measure", -50, duration_min=60, **fields.get("measure", {})),
        visit("fit", 50, duration_min=60, after=After(visit="measure"), **fields.get("fit", {})),
    ]
    return boards.problem(crew_days, visits)


def test_linked_visits_go_together_while_they_stand_nowhere():
    parts = territory.first_cut(two_yards(), seed=1, most_crew_days=2)
    assert sorted(len(part.problem.visits) for part in parts) == [0, 2]


def test_linked_visits_that_stand_in_two_parts_stay_where_they_are():
    problem = two_yards(
        measure={"promise": Slot(crew="A", day=day(0), start_min=600)},
        fit={"promise": Slot(crew="B", day=day(1), start_min=600)},
    )
    parts = territory.first_cut(problem, seed=1, most_crew_days=2)
    assert {*parts[0].held} | {*parts[1].held} == {"measure", "fit"}
    assert [len(part.held) for part in parts] == [1, 1]
    plans = [solved(part) for part in parts]
    assert all(territory.is_kept(*both) for both in zip(parts, plans, strict=True))
    plan = territory.joined(problem, plans)
    assert verify(problem, plan) == ()
    assert boards.slots(plan) == {"measure": ("A", 0, 600), "fit": ("B", 1, 600)}


def test_a_plan_that_lost_a_held_visit_is_seen():
    problem = two_yards(
        measure={"promise": Slot(crew="A", day=day(0), start_min=600)},
        fit={"promise": Slot(crew="B", day=day(1), start_min=600)},
    )
    part = territory.first_cut(problem, seed=1, most_crew_days=2)[0]
    assert not territory.is_kept(part, Schedule())


def test_a_visit_goes_where_somebody_can_do_it():
    crew_days = [
        crew_day("A", depot=place(-50)),
        crew_day("B", depot=place(50), skills=frozenset({"sink"})),
    ]
    problem = boards.problem(crew_days, [visit("v", -50, skills=frozenset({"sink"}))])
    parts = territory.first_cut(problem, seed=1, most_crew_days=1)
    assert [len(part.problem.visits) for part in parts] == [0, 1]


def test_a_crowded_depot_gives_work_away():
    crew_days = [crew_day("A", depot=place(-10)), crew_day("B", depot=place(10))]
    visits = [visit(f"v{n}", -1 + n / 100, duration_min=100) for n in range(10)]
    parts = territory.first_cut(boards.problem(crew_days, visits), seed=1, most_crew_days=1)
    assert min(len(part.problem.visits) for part in parts) >= 3


@pytest.mark.parametrize(("crew_days", "visits"), [(0, 3), (4, 0), (0, 0)])
def test_nobody_and_nothing_are_one_part(crew_days, visits):
    problem = boards.problem(
        [crew_day("A", on) for on in range(crew_days)], [visit(str(n)) for n in range(visits)]
    )
    plans = territory.planned(
        problem, seed=1, turns=2, run=lambda parts: [solved(part) for part in parts]
    )
    for plan in plans:
        assert verify(problem, plan) == ()
        assert len(plan.placed) + len(plan.unplaced) == visits
