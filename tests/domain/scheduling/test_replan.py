"""The rest of a day: nothing moves without cause, and what is in trouble finds a place."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Slot, after_iterations, build, evaluate, solve, verify
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.replan import replan
from crewjobs.domain.scheduling.running import Running, Started, from_now
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, slots, visit


def told(seed: int, **shape):
    """A published plan of an invented board."""
    problem = boards.random_problem(seed, Shape(**{"crews": 3, "days": 3, "visits": 20} | shape))
    plan = solve(problem, seed=1, stop=after_iterations(10))
    return boards.published(problem, plan), plan


def as_planned(problem, plan, now_min: int) -> Running:
    """The first day at a minute of it, everything so far as it was planned."""
    places = {each.id: each.place for each in problem.visits}
    started = tuple(
        Started(visit=s.visit, crew=s.crew, place=places[s.visit], start_min=s.start_min,
                end_min=s.end_min)
        for s in plan.placed
        if s.day == day(0) and s.start_min <= now_min
    )  # fmt: skip
    return Running(day=day(0), now_min=now_min, started=started)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), now_min=st.integers(420, 1020), load=st.sampled_from([0.6, 1.2]))
def test_nothing_changed_means_that_nothing_moves(seed, now_min, load):
    problem, plan = told(seed, load_share=load)
    found = replan(problem, plan, as_planned(problem, plan, now_min))
    assert found.moves == ()
    assert verify(found.problem, found.schedule) == ()


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), now_min=st.integers(420, 900))
def test_a_plan_after_trouble_breaks_no_rule_and_is_the_same_again(seed, now_min):
    problem, plan = told(seed)
    running = replace(as_planned(problem, plan, now_min), gone={"crew 0": now_min})
    late = tuple(replace(s, end_min=s.end_min + 90) for s in running.started)
    running = replace(running, started=late, without_truck=frozenset({"crew 1"}))
    found = replan(problem, plan, running)
    assert verify(found.problem, found.schedule) == ()
    assert replan(problem, plan, running) == found
    begun = {each.visit for each in running.started}
    assert not begun & {move.visit for move in found.moves}
    for stop in found.schedule.placed:
        if stop.day == day(0) and stop.visit not in begun:
            assert stop.start_min >= now_min
            assert stop.crew != "crew 0"


def two_crews():
    crews = [crew_day("A"), crew_day("B"), crew_day("A", 1), crew_day("B", 1)]
    visits = [
        visit("a1", 10, promise=Slot(crew="A", day=day(0), start_min=490)),
        visit("a2", 20, promise=Slot(crew="A", day=day(0), start_min=780)),
        visit("b1", 10, promise=Slot(crew="B", day=day(0), start_min=490)),
    ]
    problem = boards.problem(crews, visits)
    return problem, solve(problem, seed=1, stop=after_iterations(0))


def test_what_a_gone_crew_had_goes_to_the_other_crew_of_the_day():
    problem, plan = two_crews()
    running = replace(as_planned(problem, plan, 600), gone={"A": 600})
    found = replan(problem, plan, running)
    (move,) = found.moves
    assert move.after is not None
    assert (move.visit, move.after.crew, move.after.day) == ("a2", "B", day(0))
    assert move.after.start_min == 780


def test_stone_does_not_stay_with_a_crew_without_a_truck():
    problem, plan = two_crews()
    heavy = tuple(replace(v, mass_kg=200.0) if v.id == "a2" else v for v in problem.visits)
    problem = replace(problem, visits=heavy)
    running = replace(as_planned(problem, plan, 600), without_truck=frozenset({"A"}))
    found = replan(problem, plan, running)
    assert [move.visit for move in found.moves] == ["a2"]
    assert slots(found.schedule)["a2"][0] == "B"


def test_a_visit_wanted_newly_moves_nobody_where_there_is_room():
    problem, plan = two_crews()
    problem = replace(problem, visits=(*problem.visits, visit("new", 10, priority=3)))
    running = as_planned(problem, plan, 600)
    assert "new" not in slots(replan(problem, plan, running).schedule)
    found = replan(problem, plan, running, wanted=["new"])
    assert [move.visit for move in found.moves] == ["new"]


def test_a_visit_that_runs_over_pushes_the_next_one():
    problem, plan = two_crews()
    running = as_planned(problem, plan, 600)
    over = tuple(replace(s, end_min=900) if s.visit == "a1" else s for s in running.started)
    found = replan(problem, plan, replace(running, started=over))
    (move,) = found.moves
    assert move.visit == "a2"
    assert verify(found.problem, found.schedule) == ()


def test_a_crew_that_must_be_on_its_way_keeps_its_visit():
    problem, plan = two_crews()
    left, now = from_now(problem, plan, as_planned(problem, plan, 775))
    assert slots(now)["a2"] == ("A", 0, 780)
    (held,) = [each for each in left.visits if each.id == "a2"]
    assert held.lock == Slot(crew="A", day=day(0), start_min=780)


def test_a_visit_that_runs_far_into_the_evening_is_held_all_the_same():
    problem, plan = two_crews()
    running = as_planned(problem, plan, 600)
    over = tuple(replace(s, end_min=1300) if s.visit == "a1" else s for s in running.started)
    found = replan(problem, plan, replace(running, started=over))
    assert slots(found.schedule)["a1"] == ("A", 0, 490)
    assert slots(found.schedule)["a2"][:2] != ("A", 0)
    assert verify(found.problem, found.schedule) == ()


MISSED_DAYS = 1
"""Measured: of these twelve days, one."""


def test_hardly_a_promised_visit_is_dropped_that_could_go_where_one_other_makes_room():
    """It is sought, not proven: of a dozen tight days a few may miss what trying all would find."""
    assert sum(_drops_for_nothing(seed) for seed in range(12)) <= MISSED_DAYS


def _drops_for_nothing(seed):
    problem, plan = told(seed, visits=12, load_share=0.8)
    running = replace(as_planned(problem, plan, 480), gone={"crew 0": 480})
    found = replan(problem, plan, running)
    board = Board(found.problem)
    draft = build.draft_of(board, found.schedule)
    lost = (i for i in evaluate.left_out(board, draft) if board.visits[i].promise is not None)
    return any(any(_saved(board, draft, each)) for each in lost)


def _saved(board, draft, lost):
    """Every way to place a visit with at most one other moved, by trying them all."""
    yield _somewhere(board, draft, lost)
    for k, order in draft.items():
        for other in order:
            if board.visits[other].lock is None:
                rest = {**draft, k: tuple(i for i in order if i != other)}
                for there in _everywhere(board, rest, lost):
                    yield _somewhere(board, there, other)


def _everywhere(board, draft, visit):
    for k in range(len(board.crew_days)):
        order = draft.get(k, ())
        for n in range(len(order) + 1):
            trial = (*order[:n], visit, *order[n:])
            if evaluate.route_cost(board, k, trial) is not None:
                yield {**draft, k: trial}


def _somewhere(board, draft, visit):
    return any(True for _ in _everywhere(board, draft, visit))


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 10**6), most_moved=st.integers(0, 4))
def test_a_cap_on_moves_takes_the_calmest_of_what_was_found(seed, most_moved):
    problem, plan = told(seed)
    running = replace(as_planned(problem, plan, 500), gone={"crew 0": 500})
    found = replan(problem, plan, running, most_moved=most_moved)
    assert verify(found.problem, found.schedule) == ()
    moved = sum(m.before is not None and m.after is not None for m in found.moves)
    least = min(choice.moved for choice in found.choices)
    assert moved <= most_moved or moved == least
    assert found.schedule.cost.total in {choice.cost for choice in found.choices}
