"""Who would have to move, by hand and against every choice there is."""

from dataclasses import replace
from itertools import permutations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Slot, Window, after_iterations, build, evaluate, solve
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.room import planned_anew, room, room_on
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, visit


def plan_of(problem):
    return solve(problem, seed=1, stop=after_iterations(10))


def test_the_one_in_the_way_goes_to_the_other_crew():
    crews = [crew_day("A", hands=3), crew_day("B")]
    there = visit("w", duration_min=400)
    plan = plan_of(boards.problem(crews[:1], [there]))
    problem = boards.problem(crews, [there, visit("v", duration_min=300, hands=3)])
    found = room(problem, plan, visit="v", crew="A", day=day(0))
    assert found is not None
    (move,) = found.moves
    assert move.before is not None
    assert move.after is not None
    assert (move.visit, move.before.crew, move.after.crew) == ("w", "A", "B")
    # B is sent out (300) and drives 20 minutes for w; A drives as far for v as it did for w.
    assert found.extra_cost == 300 + 10 * 20


def test_who_finds_no_other_place_falls_out():
    problem = boards.problem([crew_day()], [visit("w", duration_min=400), visit("v")])
    plan = plan_of(boards.problem([crew_day()], [visit("w", duration_min=400)]))
    late = replace(problem.visits[1], windows=(Window(day=day(0), latest_min=500),))
    long = replace(late, duration_min=300)
    problem = replace(problem, visits=(problem.visits[0], long))
    found = room(problem, plan, visit="v", crew="A", day=day(0))
    assert found is not None
    (move,) = found.moves
    assert (move.visit, move.after) == ("w", None)


def test_a_visit_that_the_empty_day_could_not_hold_gets_no_room():
    problem = boards.problem([crew_day()], [visit("v", hands=5)])
    assert room(problem, plan_of(problem), visit="v", crew="A", day=day(0)) is None


def test_a_locked_visit_does_not_make_room():
    locked = visit("w", duration_min=400, lock=Slot(crew="A", day=day(0)))
    crews = [crew_day("A", hands=3), crew_day("B")]
    problem = boards.problem(crews, [locked, visit("v", duration_min=300, hands=3)])
    found = room(problem, plan_of(problem), visit="v", crew="A", day=day(0))
    assert found is None or found.extra_cost >= problem.costs.unlocked


def least_cost(board: Board, visit: int, crew_day: int) -> int | None:
    """The least cost of all plans with the visit on the crew-day, every one of them tried."""
    others = [i for i in range(len(board.visits)) if i != visit]
    costs = []
    for where in product([None, *range(len(board.crew_days))], repeat=len(others)):
        held = {k: [i for i, at in zip(others, where, strict=True) if at == k] for k in range(2)}
        held[crew_day].append(visit)
        best = [
            min(
                (c for o in permutations(held[k])
                 if (c := evaluate.route_cost(board, k, o)) is not None),
                default=None,
            )
            for k in range(2)
        ]  # fmt: skip
        if None not in best:
            left = sum(board.price[i] for i, at in zip(others, where, strict=True) if at is None)
            costs.append(sum(best) + left)
    return min(costs, default=None)


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_the_cost_is_the_least_of_all_choices(seed):
    shape = Shape(crews=2, days=1, visits=5, load_share=1.2)
    board = Board(boards.random_problem(seed, shape))
    draft = build.inserted(board, {})
    exact = planned_anew(board, draft, [0, 1], evaluate.left_out(board, draft))
    assert exact is not None
    for i in range(len(board.visits)):
        for k in range(2):
            rest = {q: tuple(v for v in order if v != i) for q, order in exact.items()}
            rest = {q: order for q, order in rest.items() if order}
            found = room_on(board, rest, i, k)
            least = least_cost(board, i, k)
            assert (found is None) == (least is None)
            if found is not None and least is not None:
                now = sum(evaluate.route_cost(board, q, o) or 0 for q, o in rest.items())
                now += sum(board.price[v] for v in evaluate.left_out(board, rest) if v != i)
                without = {v for q in range(2) for v in rest.get(q, ())} | {i}
                if without == set(range(len(board.visits))):
                    assert now + found.extra_cost == least
                else:
                    assert now + found.extra_cost >= least


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 3))
def test_a_plan_made_anew_is_never_dearer_and_breaks_no_rule(seed, afters):
    problem = boards.random_problem(seed, Shape(crews=2, days=3, visits=14, afters=afters))
    board = Board(problem)
    draft = build.inserted(board, {})
    days = sorted(draft)[:4]
    after = planned_anew(board, draft, days, evaluate.left_out(board, draft)[:5])
    assert after is not None
    costs = [evaluate.breakdown(board, each).total for each in (draft, after)]
    assert costs[1] <= costs[0]
    spans = evaluate.days_of(board, after)
    for i, on in spans.items():
        first, last = evaluate.day_span(board, spans, i)
        assert first <= on <= last
