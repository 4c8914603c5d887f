"""Visits of several days and of two crews: by hand, on random boards, and against all plans."""

from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewjobs.domain.scheduling import (
    After,
    CostBreakdown,
    Schedule,
    Slot,
    Visit,
    Window,
    Wish,
    after_iterations,
    evaluate,
    in_parts,
    links,
    moved,
    solve,
    verify,
)
from crewjobs.domain.scheduling.board import Board
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import Shape, crew_day, day, slots, visit

WEEK = [crew_day(crew, on) for crew in "AB" for on in range(4)]
LONG = visit("long", 10, duration_min=900, mass_kg=300, priority=3)
HELPED = visit("helped", 10, duration_min=120)
HELP = visit("help", 10, duration_min=30, assists="helped")


def planned(problem, warm=None, iterations=40) -> Schedule:
    plan = solve(problem, seed=1, stop=after_iterations(iterations), warm=warm)
    assert verify(problem, plan) == ()
    return plan


def codes(problem, plan) -> set[str]:
    return {finding.code for finding in verify(problem, plan)}


@given(st.integers(0, 3_000), st.integers(1, 600))
def test_parts_add_up_and_none_is_too_long(duration_min, most_min):
    parts = in_parts(replace(LONG, duration_min=duration_min), most_min)
    assert sum(part.duration_min for part in parts) == duration_min
    assert max(part.duration_min for part in parts) <= most_min
    assert len(parts) == max(1, -(-duration_min // most_min))
    assert [part.mass_kg for part in parts] == [300, *[0] * (len(parts) - 1)]


def test_a_long_visit_takes_consecutive_days_of_one_crew():
    plan = planned(boards.problem(WEEK, in_parts(LONG, 480)))
    found = slots(plan)
    assert found["long"][0] == found["long#2"][0]
    assert found["long#2"][1] == found["long"][1] + 1


def test_the_days_follow_each_other_over_a_day_off():
    days = [crew_day("A", on) for on in (0, 3, 4)]
    plan = planned(boards.problem(days, in_parts(LONG, 480)))
    assert [slots(plan)[name][1] for name in ("long", "long#2")] == [0, 3]
    missing = boards.problem(days[:1], in_parts(LONG, 480))
    assert planned(missing).placed == ()


def test_no_part_without_the_others():
    parts = in_parts(LONG, 300)
    last = replace(parts[2], windows=(Window(day=day(1)),))
    assert planned(boards.problem(WEEK, [*parts[:2], last])).placed == ()
    last = replace(parts[2], windows=(Window(day=day(3)),))
    found = slots(planned(boards.problem(WEEK, [*parts[:2], last])))
    assert [found[name][1] for name in ("long", "long#2", "long#3")] == [1, 2, 3]


def test_two_crews_begin_together_and_the_nearer_one_waits():
    crews = [crew_day("A"), crew_day("B", depot=boards.place(60))]
    plan = planned(boards.problem(crews, [HELPED, HELP]))
    found = slots(plan)
    assert {found["helped"][0], found["help"][0]} == {"A", "B"}
    assert found["helped"][2] == found["help"][2] == 530


def test_a_crew_that_waits_makes_the_next_visit_later_too():
    problem = boards.problem(
        [crew_day("A"), crew_day("B", depot=boards.place(60))],
        [replace(HELPED, hands=2), HELP, visit("next", 10)],
    )
    board = Board(problem)
    stops = evaluate.placements(board, {0: (0, 2), 1: (1,)})
    assert {stop.visit: stop.start_min for stop in stops} == {
        "helped": 530,
        "help": 530,
        "next": 650,
    }


def test_crews_that_would_wait_for_each_other_have_no_times():
    other = visit("other", 10)
    back = visit("back", 10, assists="other")
    board = Board(boards.problem([crew_day("A"), crew_day("B")], [HELPED, HELP, other, back]))
    assert evaluate.timed(board, {0: (0, 2), 1: (1, 3)}) is not None
    assert evaluate.timed(board, {0: (0, 2), 1: (3, 1)}) is None


def test_breaks_at_different_hours_leave_one_common_start():
    crews = [
        crew_day("A", pause=boards.pause(600, 660)),
        crew_day("B", pause=boards.pause(660, 700)),
    ]
    window = (Window(day=day(0), earliest_min=610, latest_min=900),)
    helped = replace(HELPED, windows=window)
    found = slots(planned(boards.problem(crews, [helped, HELP])))
    assert found["helped"][2] == found["help"][2] == 700


def test_one_crew_alone_cannot_lend_itself_a_hand():
    assert (
        planned(boards.problem([crew_day("A", on) for on in (0, 1)], [HELPED, HELP])).placed == ()
    )


def test_each_helper_is_a_crew_of_its_own():
    more = replace(HELP, id="more")
    three = boards.problem([crew_day(crew) for crew in "ABC"], [HELPED, HELP, more])
    assert {slot[0] for slot in slots(planned(three)).values()} == set("ABC")
    two = replace(three, crew_days=three.crew_days[:2])
    assert planned(two).placed == ()


def test_an_install_of_two_days_comes_after_its_template_with_a_hand_on_the_second():
    parts = in_parts(replace(LONG, after=After(visit="template")), 480)
    helper = visit("hand", 10, duration_min=60, assists="long#2")
    back = visit("return", 10, after=After(visit="long#2"), latest_on=day(4))
    crews = [crew_day(crew, on) for crew in "AB" for on in range(5)]
    found = slots(planned(boards.problem(crews, [*parts, helper, visit("template", 5), back])))
    days = [found[name][1] for name in ("template", "long", "long#2", "return")]
    assert days == sorted(set(days))
    assert found["hand"][1:] == found["long#2"][1:]
    assert found["return"][1] <= 4


def test_a_group_is_moved_by_hand_as_a_whole():
    problem = boards.problem(WEEK, [*in_parts(LONG, 480), visit("v", 10)])
    plan = planned(problem)
    to = Slot(crew="B", day=day(2), start_min=500)
    after = moved(problem, plan, Wish(visit="long", to=to))
    assert verify(problem, after) == ()
    assert slots(after)["long"] == ("B", 2, 500)
    assert slots(after)["long#2"][:2] == ("B", 3)
    last = moved(problem, plan, Wish(visit="long", to=replace(to, day=day(3))))
    assert {u.visit: [r.code for r in u.reasons] for u in last.unplaced}["long"] == [
        "goes_with_others"
    ]
    out = moved(problem, plan, Wish(visit="long#2", to=None))
    assert {left.visit for left in out.unplaced} == {"long", "long#2"}


def test_a_published_group_that_is_torn_is_placed_anew():
    parts = in_parts(LONG, 480)
    told = [
        replace(part, promise=Slot(crew="A", day=day(on), start_min=490))
        for part, on in zip(parts, (1, 3), strict=True)
    ]
    found = slots(planned(boards.problem(WEEK, told)))
    assert found["long#2"][1] == found["long"][1] + 1


@pytest.mark.parametrize(
    ("visits", "named"),
    [
        ([visit("v", continues="w")], "no visit w"),
        ([visit("v", continues="v")], "go with itself"),
        ([visit("v", continues="w"), visit("w", assists="v")], "go with itself"),
        ([visit("a"), visit("b", continues="a"), visit("c", continues="a")], "part after a"),
        ([HELPED, HELP, visit("w", assists="help")], "help assists"),
        ([HELPED, HELP, visit("w", continues="help")], "help assists"),
    ],
)
def test_links_that_cannot_be_are_refused(visits, named):
    with pytest.raises(ValueError, match=named):
        boards.problem([], visits)
    with pytest.raises(ValueError, match="continues one visit and assists another"):
        visit("v", continues="a", assists="b")


def test_the_judge_sees_each_torn_link():
    parts = boards.problem(WEEK, in_parts(LONG, 480))
    plan = planned(parts)
    first, second = plan.placed
    for fields, code in [
        ({"crew": "B" if second.crew == "A" else "A"}, "not_continued"),
        ({"day": day(3)}, "not_continued"),
    ]:
        torn = replace(plan, placed=(first, replace(second, **fields)))
        assert code in codes(parts, torn)
    alone = replace(plan, placed=plan.placed[:1], unplaced=plan.unplaced + _left("long#2"))
    assert "not_whole" in codes(parts, alone)


def test_the_judge_sees_each_hand_that_is_not_there():
    both = boards.problem([crew_day(crew, on) for crew in "AB" for on in (0, 1)], [HELPED, HELP])
    plan = planned(both)
    stops = {stop.visit: stop for stop in plan.placed}
    later = replace(stops["help"], start_min=600, end_min=630)
    assert "not_together" in codes(both, replace(plan, placed=(stops["helped"], later)))
    other = replace(stops["help"], day=day(1))
    assert "not_together" in codes(both, replace(plan, placed=(stops["helped"], other)))
    same = replace(stops["help"], crew=stops["helped"].crew)
    assert "same_crew" in codes(both, replace(plan, placed=(stops["helped"], same)))
    alone = replace(plan, placed=(stops["helped"],), unplaced=_left("help"))
    assert "not_whole" in codes(both, alone)


def _left(name: str):
    return tuple(replace(u) for u in planned(boards.problem([], [visit(name)])).unplaced)


def with_links(seed: int, shape: Shape):
    """A random board on which some visits have two parts and some want a second crew."""
    problem = boards.random_problem(seed, shape)
    found: list[Visit] = []
    for n, each in enumerate(problem.visits):
        if n % 4 == seed % 4:
            found += in_parts(replace(each, duration_min=2 * each.duration_min), each.duration_min)
        elif n % 4 == (seed + 2) % 4:
            help_id, hand = f"hand {n}", {"duration_min": 30, "hands": 1, "mass_kg": 0.0}
            found += [each, replace(each, id=help_id, assists=each.id, after=None, **hand)]
        else:
            found.append(each)
    return replace(problem, visits=tuple(found))


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6), afters=st.integers(0, 2), iterations=st.integers(0, 30))
def test_groups_are_whole_on_random_boards(seed, afters, iterations):
    problem = with_links(seed, Shape(crews=3, days=4, visits=12, load_share=0.6, afters=afters))
    plan = planned(problem, iterations=iterations)
    placed, board = set(slots(plan)), Board(problem)
    for group in board.groups.values():
        assert len(placed & {board.visits[i].id for i in group}) in (0, len(group))
    assert planned(problem, warm=plan, iterations=0).cost.total <= plan.cost.total
    changed = boards.published(problem, plan)
    assert planned(replace(changed, crew_days=changed.crew_days[1:]), iterations=5)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6), kind=st.sampled_from(["parts", "hand"]))
def test_a_group_alone_is_placed_at_the_least_cost(seed, kind):
    problem = boards.random_problem(seed, Shape(crews=2, days=3, visits=1, load_share=0.1))
    one = problem.visits[0]
    if kind == "parts":
        group = in_parts(replace(one, duration_min=2 * one.duration_min), one.duration_min)
    else:
        hand = {"duration_min": 20, "hands": 1, "mass_kg": 0.0, "skills": frozenset()}
        group = (one, replace(one, id="hand", assists=one.id, **hand))
    both = replace(problem, visits=group)
    assert planned(both, iterations=0).cost.total == least_cost(both)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_every_plan_that_has_a_cost_passes_the_judge(seed):
    """All plans of two visits and their links on four crew-days, at the judge's own cost."""
    problem = with_links(seed, Shape(crews=2, days=2, visits=2, load_share=0.1))
    board = Board(problem)
    for draft in all_drafts(board):
        cost = cost_of(board, draft)
        if cost is not None:
            plan = Schedule(
                placed=evaluate.placements(board, draft),
                unplaced=_names(board, draft),
                cost=cost,
            )
            assert verify(problem, plan) == ()


def _names(board: Board, draft):
    left = [board.visits[i].id for i in evaluate.left_out(board, draft)]
    return tuple(u for name in left for u in _left(name))


def least_cost(problem) -> int:
    board = Board(problem)
    costs = [cost_of(board, draft) for draft in all_drafts(board)]
    return min(int(cost.total) for cost in costs if cost is not None)


def cost_of(board: Board, draft) -> CostBreakdown | None:
    try:
        return evaluate.breakdown(board, draft)
    except ValueError:
        return None


def all_drafts(board: Board):
    """Every way to put the visits on crew-days, in every order."""
    for where in product(range(-1, len(board.crew_days)), repeat=len(board.visits)):
        on = {k: [i for i, at in enumerate(where) if at == k] for k in set(where) - {-1}}
        for orders in product(*(permutations(visits) for visits in on.values())):
            yield dict(zip(on, orders, strict=True))


def test_what_goes_with_nothing_is_not_linked():
    board = Board(boards.problem(WEEK, [HELPED, HELP, visit("v")]))
    assert [links.is_linked(board, i) for i in range(3)] == [True, True, False]
