"""The sheet that a crew takes along: one visit, or its whole day, to be read and printed.

One structure is built from the facts; a template and `paper` show it alike.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.timezone import localtime
from django.views.decorators.http import require_safe

from crewjobs import paper, snapshots
from crewjobs.actions import hours
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import kit
from crewjobs.domain.sheets import Blank, Block, Facts, Pictures, Points, Sheet
from crewjobs.models import Crew, Job, Placement, Units, Visit
from crewjobs.paper import Paper
from crewjobs.web import drawings, load_parts, loads, places, sheet_parts, visits
from crewjobs.web.load_parts import OnTruck
from crewjobs.web.pages import Asked, day_of, page
from crewjobs.web.told import Told
from crewjobs.web.wording import money

CAUTIONS = (
    "Keep hands out from under the stone; wear gloves, eye and foot protection. Nobody stands "
    "where a slab can fall. Cut wet or with extraction, and with a respirator: the dust of stone "
    "harms the lungs for life. Switch off and leave to the licensed trade what is water, gas or "
    "electricity. Follow the data sheets of adhesive and cleaner: air the room, no flame.",
    "No rule is broken that we know of, beyond what is said above. No figure here says that the "
    "work is safe: local codes, the maker's data sheets and licensed trades come first.",
)
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@require_safe
@page
def show(asked: Asked, visit_id: UUID) -> HttpResponseBase:
    """The sheet as a page, to be printed from the browser."""
    visit, job = visits.seen(asked, visit_id)
    told = told_of(asked, visit, job, loads.on_truck(asked, visit))
    found = sheet_of(asked, visit, job, told)
    context = {
        "visit": visit,
        "sheet": found,
        "blocks": [(block, _drawn(block, number)) for number, block in enumerate(found.blocks)],
    }
    return asked.page("sheet.html", context)


@require_safe
@page
def as_pdf(asked: Asked, visit_id: UUID) -> HttpResponseBase:
    """The sheet on paper."""
    visit, job = visits.seen(asked, visit_id)
    told = told_of(asked, visit, job, loads.on_truck(asked, visit))
    found = sheet_of(asked, visit, job, told)
    return as_file(asked, [found], f"visit-{job.number}")


def as_file(asked: Asked, found: Sequence[Sheet], name: str) -> HttpResponse:
    """Sheets as one PDF, on the paper that was asked for or that goes with the shop's units."""
    usual = Paper.A4 if asked.shop.units == Units.METRIC else Paper.LETTER
    wanted = asked.request.GET.get("paper", "").lower()
    size = next((each for each in Paper if each.lower() == wanted), usual)
    plain = "".join(letter if letter.isalnum() and letter.isascii() else "-" for letter in name)
    return HttpResponse(
        paper.pdf(found, size),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{plain}.pdf"'},
    )


def _drawn(block: Block, number: int) -> list[drawings.Sheet]:
    """A block's drawings as a page shows them."""
    if not isinstance(block, Pictures):
        return []
    return [drawings.sheet(each, f"sheet {number} {n}") for n, each in enumerate(block.drawings)]


def told_of(asked: Asked, visit: Visit, job: Job, truck: OnTruck | None) -> Told:
    """What the parts of a visit's sheet are made of; its load, if there is one, is at hand."""
    outing = snapshots.outing(visit, job, asked.shop)
    return Told(
        shop=asked.shop,
        job=outing.job,
        outing=outing,
        plan=hours.working_plan(visit, job, asked.shop),
        findings=tuple(visits.cautions(outing.job)),
        lines=kit(outing),
        off=tuple(load_parts.off_at(visit.pk, truck)) if truck else (),
    )


def sheet_of(asked: Asked, visit: Visit, job: Job, told: Told) -> Sheet:
    """Everything that a crew needs of one visit, on the clock of its site."""
    with timezone.override(job.site.time_zone):
        return Sheet(
            heading=f"{visit.kind.capitalize()} visit, job {job.number}",
            under=_when(asked, visit),
            blocks=(
                Facts(rows=tuple(_facts(asked, visit, job))),
                *_held(visit, job),
                *sheet_parts.parts(told),
                *_open(job),
                Blank(title="Notes", lines=8),
            ),
            cautions=CAUTIONS,
        )


def _when(asked: Asked, visit: Visit) -> str:
    place = visit.placement
    if place is None:
        return "No time is published for this visit."
    p50_at, p80_at = snapshots.ends(place, asked.shop.planning_share)
    return (
        f"{localtime(place.starts_at):%A} {day_words(place.starts_at)}, {clock(place.starts_at)}, "
        f"{place.crew.name}. As likely as not over at {clock(p50_at)}; in four of five visits by "
        f"{clock(p80_at)}."
    )


def clock(at: dt.datetime) -> str:
    return f"{localtime(at):%H:%M}"


def day_words(at: dt.datetime) -> str:
    return f"{localtime(at).day} {localtime(at):%B}"


def _facts(asked: Asked, visit: Visit, job: Job) -> Iterator[tuple[str, str]]:
    """Who, where, when, and what the site asks for."""
    yield "Where", job.site.address
    yield from _people(job)
    if job.site.access_note:
        yield "Way in", job.site.access_note
    yield from _doors_open(visit, job)
    yield "Hands", str(visit.hands)
    if skills := ", ".join(skill.name for skill in visit.skills.all()):
        yield "Skills", skills
    yield from _neighbours(asked, visit)
    if job.balance_cents and visit.kind != VisitKind.TEMPLATE:
        yield "Collect", money(job.balance_cents, asked.shop)
    yield from _trades(job)
    if job.note:
        yield "Note", job.note


def _people(job: Job) -> Iterator[tuple[str, str]]:
    yield "Customer", _reached(job.customer.name, job.customer.phone)
    for contact in job.site.contacts.all():
        yield contact.part.capitalize() or "Contact", _reached(contact.name, contact.phone)


def _doors_open(visit: Visit, job: Job) -> Iterator[tuple[str, str]]:
    """When the customer is there, and when the building lets a crew in."""
    for window in visit.windows.all():
        yield "Customer there", f"{window.on:%a %d %b}, {_span(window.starts_at, window.ends_at)}"
    for each in job.site.hours.all():
        on = f"{each.on:%a %d %b}" if each.on else f"{DAYS[each.weekday or 0]}s"
        yield each.kind.capitalize(), f"{on}, {_span(each.starts_at, each.ends_at)}"


def _trades(job: Job) -> Iterator[tuple[str, str]]:
    """What is left to licensed trades."""
    for left in job.trade_work.all():
        if left.done_at is None:
            at = left.earliest_at
            soon = f", not before {day_words(at)} {clock(at)}" if at else ""
            yield f"Not ours: {left.trade}", f"{left.what}. Leave it to the licensed trade{soon}."


def _span(start: dt.time, end: dt.time) -> str:
    return f"{start:%H:%M} to {end:%H:%M}"


def _reached(name: str, phone: str) -> str:
    return f"{name}, {phone}" if phone else name


def _neighbours(asked: Asked, visit: Visit) -> Iterator[tuple[str, str]]:
    """Where the crew comes from, and where it goes to."""
    place = visit.placement
    if place is None:
        return
    stops = stops_of(asked, place.crew, day_of(place.starts_at, asked.zone))
    at = next((n for n, stop in enumerate(stops) if stop.visit_id == visit.pk), None)
    if at is None:
        return
    before = stops[at - 1] if at else None
    after = stops[at + 1] if at + 1 < len(stops) else None
    drive = f"; {place.drive_min:.0f} min to drive here" if place.drive_min else ""
    yield (
        "Stop before",
        (_stop(before) if before else f"none, from {place.crew.depot.address}") + drive,
    )
    yield "Stop after", _stop(after) if after else f"none, back to {place.crew.depot.address}"


def _stop(place: Placement) -> str:
    job = place.visit.job
    return f"{clock(place.starts_at)} {place.visit.kind}, job {job.number}, {job.site.address}"


def stops_of(asked: Asked, crew: Crew, day: dt.date) -> list[Placement]:
    """What is published of a crew's day, as far as this person sees it."""
    found = places.published(asked, [day]).filter(crew=crew).select_related("crew__depot")
    return [stop for stop in found if stop.visit.cancelled_at is None]


def _held(visit: Visit, job: Job) -> Iterator[Block]:
    said = [
        ("stop", f"The job is on hold: {hold.reason}. {hold.note} Ask dispatch before setting out.")
        for hold in job.holds.all()
        if hold.released_at is None
    ]
    if visit.cancelled_at:
        said.append(("stop", "This visit is cancelled."))
    if said:
        yield Points(title="First", points=tuple(said))


def _open(job: Job) -> Iterator[Block]:
    items = [item for item in job.open_items.all() if item.closed_at is None]
    if items:
        points = tuple(("", item.what) for item in items)
        yield Points(title="Open items", points=points)
