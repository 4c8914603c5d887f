"""Windows to promise: by hand, kept by a plan in which they are promised, and none overlooked."""

from dataclasses import replace
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    After,
    Slot,
    Window,
    Wish,
    after_iterations,
    build,
    evaluate,
    in_parts,
    moved,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.offers import SPANS, Desk, offers, refusal
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, slots, visit


def test_an_empty_day_offers_every_span_with_its_numbers():
    problem = boards.problem([crew_day()], [])
    plan = solve(problem, seed=1, stop=after_iterations(0))
    found = offers(problem, plan, visit("new", 10))
    assert [(o.window.earliest_min, o.start_min) for o in found] == [
        (480, 490), (600, 600), (720, 750), (840, 840)
    ]  # fmt: skip
    assert {(o.extra_cost, o.drive_min, o.overtime_min, o.is_new_day) for o in found} == {
        (300 + 10 * 20, 20, 0, True)
    }


def test_a_span_that_would_push_a_promised_visit_is_not_offered():
    told = visit("told", 10, duration_min=60, promise=Slot(crew="A", day=day(0), start_min=600))
    problem = boards.problem([crew_day()], [told])
    plan = solve(problem, seed=1, stop=after_iterations(0))
    found = offers(problem, plan, visit("new", 10, duration_min=200), spans=[(480, 600)])
    assert found == ()


def test_the_visits_own_windows_narrow_the_spans():
    problem = boards.problem([crew_day(on=0), crew_day(on=1)], [])
    plan = solve(problem, seed=1, stop=after_iterations(0))
    own = (Window(day=day(1), earliest_min=630, latest_min=700),)
    (offer,) = offers(problem, plan, visit("new", 10, windows=own))
    assert (offer.window, offer.start_min) == (own[0], 630)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), which=st.integers(0, 11), load_share=st.floats(0.4, 1.0))
def test_every_offer_is_kept_by_the_plan_in_which_it_is_promised(seed, which, load_share):
    shape = Shape(crews=2, days=2, visits=12, load_share=load_share)
    problem = boards.random_problem(seed, shape)
    plan = solve(problem, seed=1, stop=after_iterations(3))
    problem = boards.published(problem, plan)
    asked = replace(problem.visits[which], promise=None)
    visits = tuple(asked if v.id == asked.id else v for v in problem.visits)
    problem = replace(problem, visits=visits)
    start = moved(problem, plan, Wish(visit=asked.id, to=None))
    for offer in offers(problem, start, asked):
        promised = replace(asked, windows=(offer.window,))
        held = replace(problem, visits=tuple(promised if v.id == asked.id else v for v in visits))
        lock = Slot(crew=offer.crew, day=offer.window.day)
        after = moved(held, start, Wish(visit=asked.id, to=lock))
        assert verify(held, after) == ()
        where = slots(after)
        assert {name: at[:2] for name, at in where.items() if name != asked.id} == {
            name: at[:2] for name, at in slots(start).items()
        }
        assert offer.window.earliest_min <= where[asked.id][2] <= offer.window.latest_min


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), which=st.integers(0, 9))
def test_no_window_that_costs_nobody_a_move_is_overlooked(seed, which):
    problem = boards.random_problem(seed, Shape(crews=2, days=2, visits=10, load_share=0.8))
    plan = solve(problem, seed=1, stop=after_iterations(3))
    asked = problem.visits[which]
    start = moved(problem, plan, Wish(visit=asked.id, to=None))
    found = {(o.window.day, o.crew) for o in offers(problem, start, asked, spans=[(0, 1440)])}
    cheapest = {on: min((o.extra_cost for o in offers(problem, start, asked, spans=[(0, 1440)])
                         if o.window.day == on), default=None) for on, _ in found}  # fmt: skip
    for at in problem.crew_days:
        put = moved(problem, start, Wish(visit=asked.id, to=Slot(crew=at.crew, day=at.day)))
        if asked.id in slots(put):
            extra = _routes_cost(problem, put) - _routes_cost(problem, start)
            least = cheapest[at.day]
            assert least is not None
            assert least <= extra


def _routes_cost(problem, plan):
    """What the crew-days cost with nobody waiting for the start that a move by hand keeps."""
    board = Board(problem)
    draft = build.draft_of(board, plan)
    return sum(evaluate.route_cost(board, k, order) for k, order in draft.items())


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), load_share=st.floats(0.4, 1.2), is_told=st.booleans())
def test_kept_tables_answer_as_new_ones_and_as_every_place_tried(seed, load_share, is_told):
    problem = boards.random_problem(seed, Shape(crews=2, days=2, visits=12, load_share=load_share))
    plan = solve(problem, seed=1, stop=after_iterations(3))
    if is_told:
        problem = boards.published(problem, plan)
    desk = Desk(problem, plan)
    for which in range(4):
        asked = replace(problem.visits[which], id="new", promise=None, after=None, windows=None)
        found = desk.offers(asked)
        assert found == offers(problem, plan, asked)
        least = {offer.window: offer.extra_cost for offer in found}
        assert least == dict(_every_place(problem, plan, asked))


def _every_place(problem, plan, asked):
    """The least cost of every window, by trying the visit everywhere."""
    for on, (first, last) in product(sorted({at.day for at in problem.crew_days}), SPANS):
        window = Window(day=on, earliest_min=first, latest_min=last)
        held = replace(asked, windows=(window,))
        board = Board(replace(problem, visits=(*problem.visits, held)))
        draft = build.draft_of(board, plan)
        costs = [
            cost
            for k, at in enumerate(problem.crew_days)
            if at.day == on
            for cost in _costs(board, k, draft.get(k, ()), len(problem.visits))
        ]
        if costs:
            yield window, min(costs)


def _costs(board, crew_day, order, visit):
    before = evaluate.route(board, crew_day, order)
    cost, moved_cost = (before.cost, before.moved_cost) if order and before else (0, 0)
    for n in range(len(order) + 1):
        after = evaluate.route(board, crew_day, (*order[:n], visit, *order[n:]))
        if after is not None and after.moved_cost <= moved_cost:
            yield after.cost - cost


def test_a_visit_that_comes_after_another_has_windows_only_from_its_day_on():
    first = visit("first", 10, lock=Slot(crew="A", day=day(1)))
    second = visit("second", 10, after=After(visit="first", lead_days=1))
    problem = boards.problem([crew_day(on=n) for n in range(4)], [first, second])
    plan = solve(problem, seed=1, stop=after_iterations(0))
    assert {offer.window.day for offer in offers(problem, plan, second)} == {day(2), day(3)}
    assert {offer.window.day for offer in offers(problem, plan, first)} <= {day(0), day(1), day(2)}
    nobody = replace(plan, placed=())
    assert offers(problem, nobody, second) == ()


def test_a_visit_with_parts_or_helpers_is_not_given_one_window():
    parts = in_parts(visit("long", 10, duration_min=600), 300)
    problem = boards.problem([crew_day(on=n) for n in range(3)], [*parts, visit("other", 10)])
    plan = solve(problem, seed=1, stop=after_iterations(0))
    for part in parts:
        assert offers(problem, plan, part) == ()
        reason = refusal(problem, part)
        assert reason is not None
        assert reason.code == "goes_with_others"
    assert refusal(problem, visit("new", 10)) is None
    assert offers(problem, plan, visit("new", 10)) != ()
