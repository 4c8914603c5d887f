"""Windows to promise: by hand, kept by a plan in which they are promised, and none overlooked."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Slot, Wish, after_iterations, moved, solve, verify
from crewjobs.domain.scheduling.offers import offers
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
    own = (boards.Window(day=day(1), earliest_min=630, latest_min=700),)
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
            extra = put.cost.total - put.cost.unplaced - start.cost.total + start.cost.unplaced
            least = cheapest[at.day]
            assert least is not None
            assert least <= extra
