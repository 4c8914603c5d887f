"""Times and costs of single crew-days, worked out by hand; a minute for each kilometre."""

import pytest

from crewjobs.domain.scheduling import Break, Slot, Window, evaluate
from crewjobs.domain.scheduling.board import Board, clock, worked
from tests.domain.scheduling import boards
from tests.domain.scheduling.boards import crew_day, day, visit


def board(at, *visits) -> Board:
    return Board(boards.problem([at], visits))


def route(at, *visits) -> evaluate.Route | None:
    return evaluate.route(board(at, *visits), 0, range(len(visits)))


def sure_route(at, *visits) -> evaluate.Route:
    found = route(at, *visits)
    assert found is not None
    return found


def stops(at, *visits) -> list[tuple[int, int, int]]:
    """Start, end and drive of each stop, on the clock."""
    placed = evaluate.placements(board(at, *visits), {0: tuple(range(len(visits)))})
    return [(stop.start_min, stop.end_min, stop.drive_min) for stop in placed]


def test_two_visits_follow_each_other_with_the_drive_between():
    # 8:00 + 10 = 8:10 to 9:10, + 10 = 9:20 to 10:20, home at 10:40: 40 minutes of driving.
    day_of_two = crew_day(), visit("near", 10), visit("far", 20)
    assert stops(*day_of_two) == [(490, 550, 10), (560, 620, 10)]
    assert sure_route(*day_of_two).cost == 300 + 10 * 40


def test_work_goes_on_after_the_break():
    # 8:10 + 4 h = 12:10 without a break, 12:40 with half an hour of it.
    assert stops(crew_day(), visit(x=10, duration_min=240)) == [(490, 760, 10)]


def test_what_ends_with_the_break_starts_nothing_before_its_end():
    first, second = visit("a", 10, duration_min=230), visit("b", 10, duration_min=30)
    assert stops(crew_day(), first, second) == [(490, 720, 10), (750, 780, 0)]


def test_a_crew_may_drive_into_its_break_and_on_after_it():
    first, second = visit("a", 10, duration_min=225), visit("b", 20)
    assert stops(crew_day(), first, second)[1] == (755, 815, 10)


def test_a_crew_waits_for_the_window():
    window = Window(day=day(0), earliest_min=600, latest_min=660)
    assert stops(crew_day(), visit(x=10, windows=(window,))) == [(600, 660, 10)]


def test_the_first_window_that_is_still_open_counts():
    morning = Window(day=day(0), earliest_min=480, latest_min=485)
    noon = Window(day=day(0), earliest_min=700, latest_min=710)
    evening = Window(day=day(0), earliest_min=900, latest_min=910)
    assert stops(crew_day(), visit(x=10, windows=(evening, noon, morning)))[0][0] == 700


def test_a_window_that_ends_in_the_break_ends_with_its_start():
    first = visit("a", 10, duration_min=230)
    until_lunch = Window(day=day(0), earliest_min=700, latest_min=740)
    assert route(crew_day(), first, visit("b", 10, windows=(until_lunch,))) is None
    after_lunch = Window(day=day(0), earliest_min=700, latest_min=750)
    assert route(crew_day(), first, visit("b", 10, windows=(after_lunch,))) is not None


def test_overtime_costs_by_the_minute_and_has_a_limit():
    # Worked minutes 480 to 990 are the shift: 20 of driving leave 490 for the visit.
    assert sure_route(crew_day(), visit(duration_min=490)).cost == 300 + 200
    assert sure_route(crew_day(), visit(duration_min=500)).cost == 300 + 200 + 20 * 10
    assert route(crew_day(), visit(duration_min=550)) is not None
    assert route(crew_day(), visit(duration_min=551)) is None
    assert route(crew_day(max_overtime_min=0), visit(duration_min=491)) is None


def test_days_after_the_due_date_cost_by_priority():
    late = visit(due_on=day(0), priority=2)
    assert sure_route(crew_day(on=3), late).cost == 300 + 200 + 600 * 2 * 3
    assert sure_route(crew_day(on=0), late).cost == 300 + 200


@pytest.mark.parametrize(
    ("crew", "on", "start", "moved"),
    [
        ("A", 0, 490, 0),
        ("A", 0, 460, 0),
        ("A", 0, 459, 400),
        ("B", 0, 490, 800),
        ("B", 0, 459, 1_200),
        ("A", 1, 490, 2_000),
        ("B", 1, 490, 2_800),
    ],
)
def test_moving_a_published_visit_has_its_price(crew, on, start, moved):
    told = visit(x=10, promise=Slot(crew=crew, day=day(on), start_min=start))
    assert sure_route(crew_day(), told).moved_cost == moved


def test_a_published_visit_waits_for_its_start_rather_than_move():
    told = visit(x=10, promise=Slot(crew="A", day=day(0), start_min=600))
    assert stops(crew_day(), told) == [(600, 660, 10)]


def test_a_published_visit_moves_when_waiting_would_break_the_shift():
    told = visit(x=10, duration_min=400, promise=Slot(crew="A", day=day(0), start_min=800))
    assert stops(crew_day(), told)[0][0] == 490
    assert sure_route(crew_day(), told).moved_cost == 400


def test_no_stone_beyond_what_the_truck_takes_in_the_morning():
    at = crew_day(payload_kg=500, frame_thickness_mm=100)
    assert route(at, visit("a", mass_kg=250), visit("b", mass_kg=250)) is not None
    assert route(at, visit("a", mass_kg=250), visit("b", mass_kg=251)) is None
    assert route(at, visit("a", load_thickness_mm=60), visit("b", load_thickness_mm=41)) is None


@pytest.mark.parametrize(
    ("code", "fields"),
    [
        ("too_few_hands", {"hands": 3}),
        ("skill_missing", {"skills": frozenset({"template"})}),
        ("over_payload", {"mass_kg": 1001}),
        ("piece_too_long", {"longest_piece_mm": 3201}),
        ("frame_full", {"load_thickness_mm": 601}),
        ("locked_elsewhere", {"lock": Slot(crew="B", day=day(0))}),
        ("locked_elsewhere", {"lock": Slot(crew="A", day=day(1))}),
        ("not_ready", {"ready_on": day(1)}),
        ("no_window", {"windows": (Window(day=day(1)),)}),
        ("too_late_there", {"windows": (Window(day=day(0), latest_min=489),)}),
        ("too_long_for_shift", {"duration_min": 551}),
    ],
)
def test_each_rule_of_an_empty_crew_day_is_named(code, fields):
    alone = board(crew_day(), visit(x=10, **fields))
    assert evaluate.broken_rules(alone, 0, 0) == (code,)
    assert evaluate.route(alone, 0, (0,)) is None


def test_a_lock_with_a_start_is_kept_to_the_minute():
    locked = visit(x=10, lock=Slot(crew="A", day=day(0), start_min=640))
    assert stops(crew_day(), locked) == [(640, 700, 10)]


def test_a_lock_outside_of_the_windows_is_no_window():
    window = Window(day=day(0), earliest_min=500, latest_min=600)
    locked = visit(lock=Slot(crew="A", day=day(0), start_min=640), windows=(window,))
    assert evaluate.broken_rules(board(crew_day(), locked), 0, 0) == ("no_window",)


def test_the_parts_of_the_cost_are_named_by_their_cause():
    visits = (
        visit("a", 10, duration_min=500, due_on=day(0)),
        visit("b", 10, priority=3, promise=Slot(crew="A", day=day(0), start_min=600)),
        visit("c", 10, lock=Slot(crew="Z", day=day(0))),
    )
    cost = evaluate.breakdown(board(crew_day(on=1), *visits), {0: (0,)})
    assert (cost.drive, cost.overtime, cost.crew_days, cost.late) == (200, 200, 300, 600)
    assert cost.unplaced == (16_000 + 20_000) + (4_000 + 100_000)
    assert cost.total == 1_300 + cost.unplaced


def test_a_draft_that_breaks_a_rule_has_no_cost():
    with pytest.raises(ValueError, match="crew A"):
        evaluate.breakdown(board(crew_day(), visit(hands=3)), {0: (0,)})


@pytest.mark.parametrize("pause", [None, Break(start_min=720, end_min=765)])
def test_worked_minutes_lead_back_to_the_clock(pause):
    at = crew_day(pause=pause)
    for minute in range(400, 1200):
        if pause is None or not pause.start_min <= minute < pause.end_min:
            assert clock(at, worked(at, minute)) == minute
