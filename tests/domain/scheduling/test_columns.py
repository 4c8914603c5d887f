"""The routes listed in bulk against those tried one by one."""

from itertools import combinations, permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import Slot, evaluate
from crewjobs.domain.scheduling.board import Board
from crewjobs.domain.scheduling.columns import Limits, Lister
from tests.domain.scheduling import boards


def one_by_one(board: Board, crew_day: int, visits) -> dict[frozenset[int], int]:
    """The least cost of every set of visits, over all orders."""
    found = {}
    for size in range(1, len(visits) + 1):
        for chosen in combinations(visits, size):
            costs = [evaluate.route_cost(board, crew_day, order) for order in permutations(chosen)]
            if any(cost is not None for cost in costs):
                found[frozenset(chosen)] = min(cost for cost in costs if cost is not None)
    return found


def listed(board: Board, crew_day: int, visits, limits=None) -> dict[frozenset[int], int]:
    routes = Lister(board, limits).routes(crew_day, visits)
    keys = [frozenset(int(i) for i in order if i >= 0) for order in routes.order]
    assert len(set(keys)) == len(keys)
    return dict(zip(keys, routes.cost.tolist(), strict=True))


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), load_share=st.sampled_from([0.4, 0.9]))
def test_every_set_is_listed_at_the_cost_of_its_best_order(seed, load_share):
    shape = boards.Shape(crews=1, days=2, visits=9, load_share=load_share)
    problem = boards.random_problem(seed, shape)
    board = Board(problem)
    visits = [i for i in range(9) if evaluate.fits(board, i, 0)][:5]
    assert listed(board, 0, visits) == one_by_one(board, 0, visits)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), on=st.integers(0, 1))
def test_promises_rush_hours_and_territories_are_listed_alike(seed, on):
    shape = boards.Shape(crews=1, days=2, visits=9, load_share=0.5)
    problem = boards.everything(boards.random_problem(seed, shape), seed)
    board = Board(problem)
    visits = [i for i in range(9) if evaluate.fits(board, i, on)][:5]
    assert listed(board, on, visits) == one_by_one(board, on, visits)


@settings(max_examples=40, deadline=None)
@given(
    starts=st.lists(st.integers(420, 1000), min_size=4, max_size=4),
    crews=st.lists(st.sampled_from("AB"), min_size=4, max_size=4),
    on=st.lists(st.integers(0, 1), min_size=4, max_size=4),
)
def test_published_starts_are_waited_for_when_that_is_cheaper(starts, crews, on):
    visits = [
        boards.visit(
            f"v{i}",
            5 * i,
            promise=Slot(crew=crews[i], day=boards.day(on[i]), start_min=starts[i]),
        )
        for i in range(4)
    ]
    board = Board(boards.problem([boards.crew_day()], visits))
    assert listed(board, 0, range(4)) == one_by_one(board, 0, range(4))


def test_a_crew_that_is_early_waits_until_it_is_as_told():
    """The crew that is early waits until it is as told, and so is never the worse for it."""
    starts = [420, 691, 420, 951]
    visits = [
        boards.visit(f"v{i}", 5 * i, promise=Slot(crew="A", day=boards.day(0), start_min=start))
        for i, start in enumerate(starts)
    ]
    board = Board(boards.problem([boards.crew_day()], visits))
    assert listed(board, 0, range(4)) == one_by_one(board, 0, range(4))


def test_a_route_is_written_in_the_order_that_it_is_driven():
    visits = [boards.visit("far", 30), boards.visit("near", 29, duration_min=30)]
    board = Board(boards.problem([boards.crew_day()], visits))
    routes = Lister(board).routes(0, [0, 1])
    for order, cost in zip(routes.order, routes.cost, strict=True):
        stops = [int(i) for i in order if i >= 0]
        assert evaluate.route_cost(board, 0, stops) == cost


def test_limits_cut_long_routes_and_dear_ones():
    visits = [boards.visit(f"v{i}", 3 * i, duration_min=20) for i in range(1, 7)]
    board = Board(boards.problem([boards.crew_day()], visits))
    assert max(map(len, listed(board, 0, range(6), Limits(visits=3)))) == 3
    few = listed(board, 0, range(6), Limits(routes=2))
    assert sum(len(visits) == 2 for visits in few) <= 2


def test_a_crew_day_without_candidates_has_no_routes():
    board = Board(boards.problem([boards.crew_day()], []))
    assert listed(board, 0, []) == {}
