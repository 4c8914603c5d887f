"""Crew-days as cells: the cheapest place found by bounds is the one found by trying all."""

from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import build, cells, evaluate
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, visit


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6), load_share=st.sampled_from([0.6, 1.2]))
def test_the_cheapest_place_is_that_of_trying_every_crew_day(seed, load_share):
    shape = Shape(crews=3, days=3, visits=20, load_share=load_share, afters=2)
    board = Board(boards.random_problem(seed, shape))
    draft = build.inserted(board, {})
    for left in evaluate.left_out(board, draft):
        days = evaluate.days_of(board, draft)
        assert cells.cheapest(board, draft, left) == build.cheapest_place(board, draft, left, days)
    for k, order in list(draft.items()):
        rest = {**draft, k: order[1:]}
        days = evaluate.days_of(board, rest)
        slow = build.cheapest_place(board, rest, order[0], days)
        assert cells.cheapest(board, rest, order[0]) == slow


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_no_place_costs_less_than_its_bound(seed):
    board = Board(boards.random_problem(seed, Shape(crews=3, days=3, visits=20, load_share=0.7)))
    draft = build.inserted(board, {})
    for i in range(len(board.visits)):
        rest = {k: tuple(v for v in order if v != i) for k, order in draft.items()}
        for k in range(len(board.crew_days)):
            found = build.cheapest_order(board, k, rest.get(k, ()), i)
            if found is not None:
                assert found[0] >= cells.least_extra_cost(board, k, rest.get(k, ()), i)


def test_a_small_board_keeps_the_price_of_leaving_out():
    late = visit("late", due_on=boards.day(0))
    board = Board(boards.problem([crew_day(on=0), crew_day(on=5)], [visit("v"), late]))
    small = cells.cut(board, [0], [1])
    assert [each.id for each in small.visits] == ["late"]
    assert small.price == [board.price[1]]


def test_the_codes_of_all_crew_days_say_where_a_visit_fits():
    board = Board(boards.problem([crew_day("A"), crew_day("B", hands=3)], [visit(hands=3)]))
    assert cells.broken(board, 0) == [("too_few_hands",), ()]
    assert not evaluate.fits(board, 0, 0)
