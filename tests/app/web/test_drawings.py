"""Drawings: to scale, and only what fits is written."""

from datetime import date
from xml.etree import ElementTree

from crewjobs.domain.drawings import PENS, Circle, Drawing, Polygon, Role, Shape, Words
from crewjobs.web import drawings, week_chart


def drawing(*shapes: Shape) -> Drawing:
    return Drawing(
        width_mm=1000, height_mm=500, letter_mm=50, shapes=shapes, title="A <b>", description="Flat"
    )


def test_a_letter_is_as_high_in_every_drawing_and_y_runs_down():
    corners = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0))
    sheet = drawings.sheet(drawing(Polygon(corners_mm=corners, role=Role.STONE)), "Piece A")
    assert (sheet.width, sheet.height) == (20 * drawings.LETTER, 10 * drawings.LETTER)
    assert sheet.marks[0].points == "0.0,130.0 260.0,130.0 260.0,0.0"
    assert sheet.ident == "piece-a"


def test_every_role_has_its_pen():
    assert set(PENS) == set(Role)


def test_a_file_stands_alone_and_writes_no_markup_of_others():
    words = Words(text="8' & <i>", at_mm=(10, 10), turn_deg=90)
    circle = Circle(middle_mm=(500, 250), radius_mm=100, role=Role.BALANCE)
    answer = drawings.as_file(drawing(words, circle))
    root = ElementTree.fromstring(answer.content)  # noqa: S314 - our own
    assert answer["Content-Type"].startswith("image/svg+xml")
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert [each.text for each in root][:2] == ["A <b>", "Flat"]
    (text,) = root.findall("{*}text")
    assert (text.text, text.get("fill"), text.get("transform")) == (
        "8' & <i>", "#000", "rotate(-90 2.6 127.4)",
    )  # fmt: skip
    assert [each.get("stroke") for each in root.findall("{*}circle")] == ["#000"]
    assert b"style" not in answer.content


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
