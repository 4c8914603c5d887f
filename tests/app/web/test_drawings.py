"""Drawings: to scale, and only what fits is written."""

from datetime import date

from crewjobs.web import drawings, week_chart
from tests import make


def test_pieces_of_a_job_are_drawn_to_one_scale():
    long, short = make.piece(length_mm=3000), make.piece(length_mm=1500)
    scale = drawings.units_per_mm([long, short])
    wide, narrow = (
        drawings.piece(each, scale, lambda value: f"{value:g}") for each in (long, short)
    )
    assert wide.right - wide.left == drawings.SHEET
    assert narrow.right - narrow.left == drawings.SHEET // 2


def test_the_front_of_a_piece_lies_below():
    drawn = drawings.piece(make.piece(), 0.1, str)
    corners = [tuple(map(int, pair.split(","))) for pair in drawn.outline.split()]
    assert corners[0] == (drawn.left, drawn.bottom)


def stop(start_min: int, p50_min: int, **more) -> week_chart.Stop:
    given = {"url": "/", "texts": ("1001 install, 12 Harbor Lane", "1001"), "title": "",
             "start_min": start_min, "p50_min": p50_min, "p80_min": p50_min + 60,
             "drive_min": 30}  # fmt: skip
    return week_chart.Stop(**(given | more))


def drawn(*stops: week_chart.Stop) -> week_chart.WeekDrawing:
    lane = week_chart.Lane(name="Crew Ash", shift=(480, 1020), stops=stops)
    return week_chart.draw([week_chart.Day(on=date(2026, 6, 1), lanes=(lane,), now_min=300)])


def test_time_is_to_scale():
    chart = drawn(stop(540, 660), stop(780, 900))
    first, second = chart.days[0].lanes[0].bars
    assert abs(first.solid.width - second.solid.width) <= 1
    assert abs(first.tail.width * 2 - first.solid.width) <= 2
    assert first.drive.end == first.solid.x
    assert first.solid.end == first.tail.x


def test_a_late_visit_widens_the_day_for_all():
    assert drawn(stop(1200, 1300)).ticks[-1].text == "23:00"


def test_a_bar_bears_the_longest_words_that_fit():
    chart = drawn(stop(480, 720), stop(800, 840))
    assert [bar.text for bar in chart.days[0].lanes[0].bars] == [
        "1001 install, 12 Harbor Lane",
        "1001",
    ]


def test_now_is_not_drawn_outside_the_day():
    assert drawn(stop(540, 600)).days[0].now is None


def test_what_is_reported_done_is_to_scale_too():
    (bar,) = drawn(stop(540, 660, done_share=0.5, live_min=700)).days[0].lanes[0].bars
    assert abs(2 * bar.done - bar.solid.width) <= 1
    assert bar.tail.x < (bar.live or 0) < bar.tail.end
