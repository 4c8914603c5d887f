"""Work orders from a CSV file: all of them or none, and every bad cell by its name."""

import csv
import datetime as dt
import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crewjobs.actions import imports, order_file, order_stone
from crewjobs.actions.errors import InvalidError, NotAllowedError
from crewjobs.domain.facts import CutoutKind, HoldReason, SeamMethod
from crewjobs.models import AuditEntry, Customer, HoursKind, Job, Priority
from tests import rows

pytestmark = pytest.mark.django_db
SAMPLE = Path("crewjobs/management/sample_orders.csv")
COLUMNS = [*imports.ORDER_COLUMNS, *order_stone.COLUMNS]
ORDER = {
    "number": "W-1", "customer": "Odile Farrow", "street": "14 Ferry Street", "town": "Alder Bay",
    "lat": "44.941", "lon": "-91.872",
}  # fmt: skip
PIECE = {"piece": "A", "length": "98 1/2", "depth": "25 1/2"}


@pytest.fixture(autouse=True)
def _shop():
    rows.shop()


def file(*records: dict[str, str], delimiter: str = ",") -> str:
    names = list(dict.fromkeys(name for record in records for name in record))
    out = io.StringIO()
    writer = csv.DictWriter(out, names, delimiter=delimiter, restval="")
    writer.writeheader()
    writer.writerows(records)
    return out.getvalue()


def wrong(*records: dict[str, str], delimiter: str = ",") -> dict[str, str]:
    found = imports.dry_run(
        data=file(*records, delimiter=delimiter), by=rows.dispatcher(), now=rows.NOW
    )
    return {each.pointer: each.message for each in found.problems}


def only(*records: dict[str, str], **style):
    (order,) = imports.read(file(*records, **style)).orders
    return order


def test_the_sample_file_is_booked_whole() -> None:
    booked = imports.run(data=SAMPLE.read_bytes(), by=rows.dispatcher(), now=rows.NOW)
    assert [job.number for job in booked] == ["S-501", "S-502", "S-503"]
    kitchen, bath, unmeasured = booked
    assert [piece.name for piece in kitchen.pieces.all()] == ["A", "B", "Island"]
    assert kitchen.pieces.get(name="A").outline_mm[2] == [2501.9, 647.7]
    assert kitchen.seams.get().method == SeamMethod.KNIFE_GRADE
    assert kitchen.balance_cents == 185_000
    assert kitchen.visits.get().windows.count() == 2
    assert kitchen.visits.get().p50_min > 60
    assert kitchen.customer.takes_texts
    assert bath.priority == Priority.SOON
    assert bath.site.hours.filter(kind=HoursKind.BUILDING).count() == 5
    assert bath.site.hours.filter(kind=HoursKind.LIFT).count() == 1
    assert {visit.kind for visit in unmeasured.visits.all()} == {"template", "install"}
    assert unmeasured.holds.get().reason == HoldReason.SITE_NOT_READY
    assert AuditEntry.objects.filter(verb="job.import").count() == 1


def test_the_sample_file_has_every_column() -> None:
    header = SAMPLE.read_text().splitlines()[0].split(",")
    assert header == COLUMNS


def test_the_readme_names_every_column() -> None:
    told = Path("README.md").read_text()
    assert [name for name in COLUMNS if f"| `{name}` |" not in told] == []


def test_the_readme_tells_each_column_as_the_import_does() -> None:
    told = Path("README.md").read_text().replace("\\|", "|")
    columns = {**imports.ORDER_COLUMNS, **order_stone.COLUMNS}
    lines = [f"| `{name}` | {words} |" for name, words in columns.items()]
    assert [line for line in lines if line not in told] == []


def test_the_sample_fits_whatever_the_day_is() -> None:
    for year in (2026, 2031):
        now = rows.NOW.replace(year=year)
        found = imports.dry_run(data=SAMPLE.read_bytes(), by=rows.dispatcher(), now=now)
        assert (found.problems, found.warnings) == ((), ())
        assert found.orders[0].due_on == dt.date(year, 6, 29)


MEASURED = {
    "overhang": "1 1/4", "span": "24", "dishwasher_hole": "12 mm",
    "sink": "undermount", "sink_size": "30 x 16", "sink_front_rail": "3", "sink_back_rail": "90 mm",
    "sink_supported": "no", "sink_cabinet": "33", "cooktop_size": "20x19", "cooktop_at": "84",
    "cooktop_front_rail": "2 1/2", "cooktop_supported": "yes",
}  # fmt: skip
JOINED = {
    "piece": "B", "seam_with": "A", "seam_to_sink": "18", "seam_over_dishwasher": "yes",
    "seam_adhesive": "grey epoxy",
}  # fmt: skip


def test_what_was_measured_is_taken_over() -> None:
    site = {"dishwasher": "yes", "off_level": "1/8"}
    work = only(ORDER | site | PIECE | MEASURED, {"number": "W-1"} | PIECE | JOINED).work
    first, second = work.pieces
    assert (work.has_dishwasher, work.off_level_mm) == (True, 3.175)
    assert (first.overhang_mm, first.span_mm, first.dishwasher_hole_mm) == (31.75, 609.6, 12)
    assert (second.overhang_mm, second.span_mm) == (None, None)
    sink, cooktop = first.cutouts
    assert (sink.front_rail_mm, sink.back_rail_mm, sink.cabinet_mm) == (76.2, 90, 838.2)
    assert (sink.is_supported, cooktop.is_supported) == (False, True)
    assert (cooktop.front_rail_mm, cooktop.back_rail_mm) == (63.5, None)
    (seam,) = work.seams
    assert (seam.to_sink_mm, seam.is_over_dishwasher) == (457.2, True)
    assert seam.adhesive == "grey epoxy"


def test_what_was_measured_is_written_down() -> None:
    data = file(ORDER | PIECE | MEASURED, ORDER | PIECE | JOINED)
    (job,) = imports.run(data=data, by=rows.dispatcher(), now=rows.NOW)
    assert job.pieces.get(name="A").cutouts.get(kind="undermount sink").front_rail_mm == 76.2
    assert job.seams.get().adhesive == "grey epoxy"
    assert job.off_level_mm is None


@pytest.mark.parametrize(
    ("told", "column"),
    [
        ({"overhang": "far"}, "overhang"),
        ({"dishwasher_hole": "300 mm"}, "dishwasher_hole"),
        ({"sink_front_rail": "3"}, "sink"),
        ({"cooktop_supported": "yes"}, "cooktop_size"),
        ({"seam_adhesive": "grey"}, "seam_with"),
        ({"sink": "drop-in", "sink_size": "30 x 16", "sink_supported": "partly"}, "sink_supported"),
        ({"off_level": "-1"}, "off_level"),
    ],
)
def test_a_wrong_measure_is_named(told, column) -> None:
    assert list(wrong(ORDER | PIECE | told)) == [f"/rows/2/{column}"]


def test_days_that_are_over_are_warned_of_and_still_booked() -> None:
    over = {"due_on": "2026-05-31", "windows": "2026-05-29 08:00-12:00"}
    data = file(ORDER | PIECE | over)
    found = imports.dry_run(data=data, by=rows.dispatcher(), now=rows.NOW)
    assert found.problems == ()
    assert [(each.pointer, each.message) for each in found.warnings] == [
        ("/rows/2/due_on", "2026-05-31 lies in the past"),
        ("/rows/2/windows", "2026-05-29 lies in the past"),
    ]
    assert imports.run(data=data, by=rows.dispatcher(), now=rows.NOW)
    today = file(ORDER | {"number": "W-2", "due_on": "2026-06-01"} | PIECE)
    assert imports.dry_run(data=today, by=rows.dispatcher(), now=rows.NOW).warnings == ()


def test_days_count_from_the_shops_own_today() -> None:
    data = file(ORDER | PIECE | {"due_on": "today+3"})
    late = rows.NOW.replace(hour=3)  # still the day before in the invented place
    found = imports.dry_run(data=data, by=rows.dispatcher(), now=late)
    assert found.orders[0].due_on == dt.date(2026, 6, 3)


def test_rows_of_the_same_number_form_one_job() -> None:
    order = only(
        ORDER | PIECE,
        {"number": "W-1", **PIECE, "piece": "B", "seam_with": "A", "seam_method": "flow-grade"},
    )
    assert [piece.name for piece in order.work.pieces] == ["A", "B"]
    (seam,) = order.work.seams
    assert (seam.first, seam.second, seam.length_mm) == ("A", "B", 647.7)
    assert seam.method is SeamMethod.FLOW_GRADE


def test_a_seam_that_both_rows_name_is_one_seam() -> None:
    order = only(
        ORDER | PIECE | {"seam_with": "B"},
        ORDER | PIECE | {"piece": "B", "seam_with": "A"},
    )
    assert len(order.work.seams) == 1


@pytest.mark.parametrize(
    ("written", "length_mm"),
    [("98 1/2", 2501.9), ("8' 2 1/2\"", 2501.9), ("2502 mm", 2502.0), ("1.5 m", 1500.0)],
)
def test_lengths_are_read_as_people_write_them(written, length_mm) -> None:
    order = only(ORDER | PIECE | {"length": written})
    assert order.work.pieces[0].length_mm == length_mm


def test_holes_are_where_the_row_says() -> None:
    told = {"sink": "undermount", "sink_size": "30 x 16 1/2", "sink_at": "24", "tap_holes": "2"}
    order = only(ORDER | PIECE | told | {"cooktop_size": "20x19", "cooktop_at": "1800 mm"})
    sink, cooktop, *taps = order.work.pieces[0].cutouts
    assert (sink.kind, sink.x_mm, sink.width_mm) == (CutoutKind.UNDERMOUNT_SINK, 609.6, 762.0)
    assert (cooktop.kind, cooktop.x_mm) == (CutoutKind.COOKTOP, 1800.0)
    assert [round(tap.x_mm, 1) for tap in taps] == [559.6, 659.6]


def test_a_shop_that_counts_in_millimetres_is_read_so() -> None:
    rows.shop().__class__.objects.update(units="metric")
    found = imports.dry_run(data=file(ORDER | PIECE | {"length": "2500", "depth": "650"}),
                            by=rows.dispatcher(), now=rows.NOW)  # fmt: skip
    assert found.orders[0].work.pieces[0].length_mm == 2500


def test_a_file_parted_by_semicolons_has_decimal_commas() -> None:
    order = only(
        ORDER | PIECE | {"lat": "44,941", "length": "250,2 cm", "balance": "12,50"}, delimiter=";"
    )
    assert order.site.lat == 44.941
    assert order.work.pieces[0].length_mm == 2502
    assert order.balance_cents == 1250


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_every_usual_encoding_is_read(encoding) -> None:
    data = file(ORDER | PIECE | {"customer": "Zoë Müller"}).encode(encoding)
    assert imports.read(data).orders[0].customer.name == "Zoë Müller"


def test_every_bad_cell_is_listed_at_once() -> None:
    found = wrong(
        ORDER | PIECE | {"length": "long", "lat": "144", "priority": "now", "texts": "yes"},
        {"number": "W-2", "customer": "", "lat": "1", "lon": "1", "due_on": "6/7/2026"},
        {"number": "", "customer": "Nobody"},
        ORDER | PIECE | {"lat": "144", "customer": "Somebody Else"},
    )
    assert set(found) == {
        "/rows/2/length", "/rows/2/lat", "/rows/2/priority", "/rows/2/texts",
        "/rows/3/customer", "/rows/3/street", "/rows/3/town", "/rows/3/due_on",
        "/rows/4/number",
        "/rows/5/customer", "/rows/5/piece",
    }  # fmt: skip
    assert found["/rows/2/lat"] == "is 144, it must be from -90 to 90"
    assert found["/rows/5/customer"] == "row 2 of the same order says 'Odile Farrow'"


@pytest.mark.parametrize(
    ("told", "column"),
    [
        ({"length": "0.1"}, "length"),
        ({"length": "9" * 330 + " mm"}, "length"),
        ({"length": "1/0"}, "length"),
        ({"length": ""}, "length"),
        ({"density": "heavy"}, "density"),
        ({"density": "٢٤٠٠"}, "density"),
        ({"sink": "undermount"}, "sink_size"),
        ({"sink": "steel"}, "sink"),
        ({"sink_size": "30 x 16"}, "sink"),
        ({"sink": "undermount", "sink_size": "30 x 40"}, "sink_size"),
        ({"sink": "undermount", "sink_size": "30 x 16", "sink_at": "5"}, "sink_at"),
        ({"cooktop_size": "22"}, "cooktop_size"),
        ({"tap_holes": "1.5"}, "tap_holes"),
        ({"seam_with": "Z"}, "seam_with"),
        ({"seam_with": "A"}, "seam_with"),
        ({"seam_method": "flow grade"}, "seam_with"),
        ({"windows": "2026-06-10 12:00-08:00"}, "windows"),
        ({"windows": "2026-06-10"}, "windows"),
        ({"windows": "soon 25:00-26:00"}, "windows"),
        ({"building_hours": "mornings"}, "building_hours"),
        ({"due_on": "1999-01-01"}, "due_on"),
        ({"email": "at home"}, "email"),
        ({"lift": "perhaps"}, "lift"),
        ({"hold": "weather"}, "hold"),
        ({"balance": "-5"}, "balance"),
        ({"number": "W" * 41}, "number"),
        ({"customer": "Ada \x07"}, "customer"),
        ({"customer": "Ada \ud800"}, "customer"),
    ],
)
def test_a_bad_cell_has_a_pointer(told, column) -> None:
    assert f"/rows/2/{column}" in wrong(ORDER | PIECE | told)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "empty"),
        (b"number,\x00", "no CSV"),
        (b"number,\x81", "neither UTF-8"),
        (b"x" * (order_file.MOST_BYTES + 1), "the most is"),
        ("number\n" + "1\n" * (order_file.MOST_ROWS + 1), "more than 2000 rows"),
        ('number\n"open', "no CSV row"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(data, message) -> None:
    (problem,) = imports.read(data).problems
    assert message in problem.message
    assert problem.pointer == "/file"


def test_a_wrong_header_says_which_column() -> None:
    header = file({"number": "1", "custmer": "Ada", "street": "", "town": "", "lat": "", "lon": ""})
    found = {each.pointer: each.message for each in imports.read(header).problems}
    assert found == {
        "/rows/1/custmer": "there is no column custmer",
        "/rows/1/customer": "the column is missing",
    }


def test_a_number_that_is_taken_is_told_and_nothing_is_booked() -> None:
    rows.job("W-1")
    data = file(ORDER | {"number": "W-0"} | PIECE, ORDER | PIECE)
    with pytest.raises(InvalidError) as caught:
        imports.run(data=data, by=rows.dispatcher(), now=rows.NOW)
    assert caught.value.problems == {"/rows/3/number": "there is a job W-1 already"}
    assert Job.objects.count() == 1


def test_only_the_office_imports() -> None:
    for change in (
        lambda: imports.dry_run(data="", by=rows.lead(), now=rows.NOW),
        lambda: imports.run(data="", by=rows.lead(), now=rows.NOW),
    ):
        with pytest.raises(NotAllowedError):
            change()


def test_the_command_lists_what_is_wrong_and_books_nothing(tmp_path) -> None:
    path, by, said = tmp_path / "orders.csv", rows.dispatcher(), io.StringIO()
    path.write_text(file(ORDER | PIECE | {"length": "long"}))
    with pytest.raises(CommandError, match="Nothing was booked"):
        call_command("import_orders", path, f"--as={by.email}", stderr=said)
    assert said.getvalue().startswith("rows/2/length: 'long' is not a length")
    assert not Job.objects.exists()


def test_the_command_books_after_a_dry_run() -> None:
    by, said = rows.dispatcher(), io.StringIO()
    call_command("import_orders", SAMPLE, f"--as={by.email}", "--dry-run", stdout=said)
    assert not Job.objects.exists()
    call_command("import_orders", SAMPLE, f"--as={by.email}", stdout=said)
    assert said.getvalue() == "3 orders could be booked.\n3 orders are booked.\n"
    assert Job.objects.count() == 3


CELLS = st.one_of(
    st.sampled_from(
        ["", "A", "B", "W-1", "W-2", "98 1/2", "650 mm", "30 x 16", "yes", "no", "44.9", "-91", "3",
         "undermount", "2026-06-10", "today+5", "2026-06-10 08:00-12:00", "flow grade", "top",
         "1e400", "NaN", "payment due", "a@example.com", '8\' 2"', "=1+1"]
    ),
    st.text(max_size=12),
)  # fmt: skip
TABLES = st.lists(st.dictionaries(st.sampled_from(COLUMNS), CELLS), max_size=5)


def counts() -> tuple[int, ...]:
    return tuple(table.objects.count() for table in (Job, Customer, AuditEntry))


def refused(data: bytes | str) -> set[str]:
    try:
        imports.run(data=data, by=rows.dispatcher(), now=rows.NOW)
    except InvalidError as error:
        return set(error.problems)
    return set()


def holds_all_or_nothing(data: bytes | str) -> None:
    before = counts()
    found = imports.dry_run(data=data, by=rows.dispatcher(), now=rows.NOW)
    assert counts() == before
    problems = refused(data)
    assert problems == {each.pointer for each in found.problems}
    booked = Job.objects.count() - before[0]
    assert (booked, counts() == before) == (0, True) if problems else (len(found.orders), False)
    Job.objects.all().delete()


QUIET = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@QUIET
@given(TABLES)
def test_any_table_is_booked_whole_or_not_at_all(told) -> None:
    holds_all_or_nothing(file(*[ORDER | PIECE | record for record in told] or [ORDER]))


@QUIET
@given(st.one_of(st.text(), st.binary(), st.text().map(lambda text: ",".join(COLUMNS) + text)))
def test_any_file_is_read_without_a_crash(data) -> None:
    holds_all_or_nothing(data)


def test_a_hole_that_cannot_be_cut_is_noted_at_its_cell() -> None:
    deep = {"sink": "undermount", "sink_size": "30 x 26"}
    assert "outside the outline" in wrong(ORDER | PIECE | deep)["/rows/2/sink_size"]
