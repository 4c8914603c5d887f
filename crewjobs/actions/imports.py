"""Work orders from a CSV file: every bad cell listed, and all orders booked or none.

One row is one piece; rows of the same order number form one job. What belongs to the order may
stand on each of its rows or on one of them.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from crewjobs.actions import jobs, log, order_measures, order_stone
from crewjobs.actions.errors import InvalidError
from crewjobs.actions.order_file import Cells, Problem, Row, Style, table
from crewjobs.actions.order_stone import Stone
from crewjobs.actions.orders import (
    CustomerEntry,
    HoursEntry,
    SiteEntry,
    VisitEntry,
    WindowEntry,
    WorkOrder,
)
from crewjobs.domain import facts, units
from crewjobs.domain.facts import HoldReason, RouteKind, VisitKind
from crewjobs.models import HoursKind, Job, Person, Priority, Shop, Units

ORDER_COLUMNS: Mapping[str, str] = {
    "number": "the order's own number; rows with the same number form one job",
    "customer": "name",
    "email": "where mails go",
    "phone": "where texts go",
    "texts": "yes, if the customer agreed to text messages",
    "street": "street and house",
    "town": "town",
    "region": "state, province",
    "postal_code": "postal code",
    "lat": "latitude in degrees, north above 0",
    "lon": "longitude in degrees, east above 0",
    "title": "a short name for the job",
    "due_on": "day by which it must be installed",
    "stone_ready_on": "day on which fabrication is expected to be done",
    "priority": "usual, soon or urgent",
    "windows": "days and hours at which a crew may begin the install, parted by |",
    "building_hours": "hours in which the building lets a crew in, Monday to Friday",
    "lift_booked": "days and hours for which the lift is booked, parted by |",
    "walk": "level walk from the truck to the cabinets",
    "flights": "flights of stairs on the way",
    "lift": "yes, if the pieces go up in a lift",
    "tear_out": "length of old tops to take out",
    "cabinet_run": "length of cabinets to check and shim level",
    **order_measures.OF_ORDER,
    "balance": "money to collect, such as 1250.00",
    "hold": "why the job waits, such as payment due",
    "note": "anything else",
}
NEEDED = ("number", "customer", "street", "town", "lat", "lon")
"""Columns without which there is no order."""

LONGEST_RUN_MM = 1e5
LONGEST_WALK_MM = 1e6
STEPS_A_FLIGHT = 14
"""Common practice, not measured."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What a file holds: its orders, on which row each begins, and everything wrong with it."""

    orders: tuple[WorkOrder, ...] = ()
    rows: Mapping[str, int] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    warnings: tuple[Problem, ...] = ()
    """What can be booked, and is probably not meant."""


def read(
    data: bytes | str, *, bare_mm: float = units.MM_PER_INCH, today: dt.date | None = None
) -> Outcome:
    """The orders of a file and every bad cell. Orders with a bad cell are left out."""
    known = {**ORDER_COLUMNS, **order_stone.COLUMNS}
    found = table(data, known=known, needed=NEEDED, style=Style(bare_mm=bare_mm, today=today))
    groups: dict[str, list[Row]] = {}
    for row in found.rows:
        groups.setdefault(row.texts.get("number", ""), []).append(row)
    orders, problems = [], list(found.problems)
    for number, rows in groups.items():
        order, wrong = _order(rows, found.style) if number else (None, _without_number(rows))
        problems += wrong
        if order:
            orders.append(order)
    if not found.rows and not problems:
        problems.append(Problem(row=0, column="", message="the file has no rows below its header"))
    first = {number: rows[0].number for number, rows in groups.items()}
    return Outcome(
        orders=tuple(orders),
        rows=first,
        problems=tuple(sorted(problems, key=lambda each: each.row)),
        warnings=tuple(_past(orders, first, today)) if today else (),
    )


def dry_run(*, data: bytes | str, by: Person, now: datetime) -> Outcome:
    """What importing the file would book, and every bad cell. Changes nothing."""
    log.require(by, "job.import")
    shop = Shop.objects.get()
    bare_mm = 1.0 if shop.units == Units.METRIC else units.MM_PER_INCH
    found = read(data, bare_mm=bare_mm, today=now.astimezone(ZoneInfo(shop.time_zone)).date())
    taken = Job.objects.filter(number__in=list(found.rows)).values_list("number", flat=True)
    there = tuple(
        Problem(row=found.rows[number], column="number", message=f"there is a job {number} already")
        for number in taken
    )
    problems = sorted((*found.problems, *there), key=lambda each: each.row)
    return replace(found, problems=tuple(problems))


@transaction.atomic
def run(*, data: bytes | str, by: Person, now: datetime) -> list[Job]:
    """Book every order of the file, or nothing.

    Raises
    ------
    InvalidError
        With every bad cell, as `/rows/12/length`.
    """
    found = dry_run(data=data, by=by, now=now)
    refuse(found.problems)
    booked = [_book(order, found.rows[order.number], by=by, now=now) for order in found.orders]
    numbers = [job.number for job in booked]
    log.write("job.import", Shop.objects.get(), by=by, now=now, numbers=numbers)
    return booked


def refuse(problems: Iterable[Problem]) -> None:
    """Raise the problems of a file, if there are any.

    Raises
    ------
    InvalidError
        With a message for each cell.
    """
    told: dict[str, str] = {}
    for each in problems:
        before = told.get(each.pointer)
        told[each.pointer] = f"{before}; {each.message}" if before else each.message
    if told:
        raise InvalidError(told)


def _book(order: WorkOrder, row: int, *, by: Person, now: datetime) -> Job:
    try:
        return jobs.book(order=order, by=by, now=now)
    except InvalidError as error:
        told = {f"/rows/{row}{where}": what for where, what in error.problems.items()}
        raise InvalidError(told) from error


def _past(
    orders: Iterable[WorkOrder], rows: Mapping[str, int], today: dt.date
) -> Iterator[Problem]:
    """Days that are over: the order can be booked, and no crew can come by then."""
    for order in orders:
        windows = [window.on for visit in order.visits for window in visit.windows]
        days = {"due_on": order.due_on, "windows": max(windows, default=None)}
        for column, day in days.items():
            if day and day < today:
                message = f"{day} lies in the past"
                yield Problem(row=rows[order.number], column=column, message=message)


def _without_number(rows: Iterable[Row]) -> list[Problem]:
    return [Problem(row=row.number, column="number", message="must not be empty") for row in rows]


def _order(rows: Sequence[Row], style: Style) -> tuple[WorkOrder | None, list[Problem]]:
    merged, problems = _merged(rows)
    cells = Cells(merged, row=rows[0].number, style=style)
    stones = order_stone.stones(rows, style)
    order = _work_order(cells, stones)
    problems += [*cells.problems, *(each for stone in stones for each in stone.cells.problems)]
    return (None if problems else order), problems


def _merged(rows: Sequence[Row]) -> tuple[dict[str, tuple[int, str]], list[Problem]]:
    """The order's own cells, from whichever row has them; rows that disagree are a problem."""
    merged: dict[str, tuple[int, str]] = {}
    problems = []
    for row in rows:
        for column in ORDER_COLUMNS.keys() & row.texts.keys():
            text = row.texts[column]
            number, before = merged.get(column, (row.number, ""))
            if not before:
                merged[column] = (row.number if text else number, text)
            elif text and text != before:
                message = f"row {number} of the same order says {before!r}"
                problems.append(Problem(row=row.number, column=column, message=message))
    return merged, problems


def _work_order(cells: Cells, stones: Sequence[Stone]) -> WorkOrder:
    hold = cells.maybe_one_of("hold", HoldReason)
    due_on = cells.day("due_on")
    return WorkOrder(
        number=cells.text("number", 40),
        title=cells.text("title", 160),
        customer=_customer(cells),
        site=_site(cells),
        priority=cells.one_of("priority", Priority, Priority.USUAL),
        due_on=due_on,
        stone_ready_on=cells.day("stone_ready_on"),
        visits=_visits(cells, due_on, has_sizes=bool(stones)),
        holds=(hold,) if hold else (),
        balance_cents=round(100 * cells.number("balance", least=0, most=1e7, default=0)),
        note=cells.text("note"),
        work=_work(cells, stones),
        finishes={stone.piece.name: stone.finish for stone in stones},
    )


def _customer(cells: Cells) -> CustomerEntry:
    takes_texts = cells.yes("texts")
    if takes_texts and not cells.has("phone"):
        cells.note("texts", "texts need a phone number")
    return CustomerEntry(
        name=cells.text("customer", 120, is_needed=True),
        email=cells.email("email"),
        phone=cells.text("phone", 40),
        takes_texts=takes_texts,
    )


def _site(cells: Cells) -> SiteEntry:
    lift = [
        HoursEntry(kind=HoursKind.LIFT, on=on, starts_at=first, ends_at=last)
        for on, first, last in cells.spans("lift_booked")
    ]
    building = cells.hours("building_hours")
    week = [
        HoursEntry(
            kind=HoursKind.BUILDING, weekday=weekday, starts_at=building[0], ends_at=building[1]
        )
        for weekday in range(5)
        if building
    ]
    return SiteEntry(
        street=cells.text("street", 200, is_needed=True),
        town=cells.text("town", 120, is_needed=True),
        region=cells.text("region", 120),
        postal_code=cells.text("postal_code", 20),
        lat=cells.number("lat", least=-90, most=90),
        lon=cells.number("lon", least=-180, most=180),
        hours=(*week, *lift),
    )


def _visits(cells: Cells, due_on: dt.date | None, *, has_sizes: bool) -> tuple[VisitEntry, ...]:
    """Said only where the install has windows; else the usual visits are booked."""
    windows = tuple(
        WindowEntry(on=on, starts_at=first, ends_at=last)
        for on, first, last in cells.spans("windows")
    )
    if not windows:
        return ()
    install = VisitEntry(kind=VisitKind.INSTALL, windows=windows, due_on=due_on)
    return (install,) if has_sizes else (VisitEntry(kind=VisitKind.TEMPLATE), install)


def _work(cells: Cells, stones: Sequence[Stone]) -> facts.Work:
    named = {stone.piece.name: stone for stone in reversed(stones)}
    return facts.Work(
        pieces=tuple(stone.piece for stone in stones if named[stone.piece.name] is stone),
        seams=order_stone.seams(stones),
        supports=tuple(support for stone in stones for support in stone.supports),
        route=tuple(_route(cells)),
        tear_out_mm=cells.length_mm("tear_out", most_mm=LONGEST_RUN_MM, default_mm=0.0),
        cabinet_run_mm=cells.length_mm("cabinet_run", most_mm=LONGEST_RUN_MM, default_mm=0.0),
        **order_measures.of_site(cells),
    )


def _route(cells: Cells) -> Iterator[facts.RouteElement]:
    if walk_mm := cells.length_mm("walk", most_mm=LONGEST_WALK_MM, default_mm=0.0):
        yield facts.RouteElement(kind=RouteKind.PATH, length_mm=walk_mm)
    for _ in range(cells.count("flights", most=40)):
        yield facts.RouteElement(kind=RouteKind.STAIRS, steps=STEPS_A_FLIGHT)
    if cells.yes("lift"):
        yield facts.RouteElement(kind=RouteKind.LIFT)
