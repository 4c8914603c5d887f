"""The load of a truck's day in words and figures, block by block, for a page and for paper.

In the shop's units; it judges nothing itself.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple
from uuid import UUID

from django.utils import timezone

from crewjobs.domain import lifting
from crewjobs.domain.drawings import Drawing, Lettering, load
from crewjobs.domain.kit import Outing, kit, of_day
from crewjobs.domain.lifting import Hands
from crewjobs.domain.loading import TruckDay, securing
from crewjobs.domain.loading.plans import LoadPlan, Place
from crewjobs.domain.loading.securing import Tied
from crewjobs.domain.loading.unloading import Step, Where, unloading
from crewjobs.domain.sheets import Block, Facts, Pictures, Points, Row, Sheet, Table
from crewjobs.models import Shop
from crewjobs.snapshots import Call, Load
from crewjobs.web import carrying
from crewjobs.web.kits import volume
from crewjobs.web.sheet_parts import kit_table
from crewjobs.web.wording import GAP, extent, in_units, mass

CAUTION = (
    "No figure here says that the load is safe: the truck's and the frame's own papers and local "
    "rules come first. Keep clear of where a slab can fall."
)
BALANCE = {True: "left", False: "right"}


class OnTruck(NamedTuple):
    """A load and how it stands: what is told at a stop."""

    load: Load
    plan: LoadPlan


@dataclass(frozen=True, kw_only=True, slots=True)
class LoadTold:
    """What the parts are made of."""

    shop: Shop
    load: Load
    day: TruckDay
    outings: Mapping[int, Outing]
    """By the number of the stop."""

    @property
    def places(self) -> dict[str, Place]:
        """Everything that leans on the frame, by its name."""
        return _places(self.day.plan)

    @property
    def hands(self) -> dict[str, Hands]:
        """What three methods say of each piece, by its name on the truck."""
        return {
            f"{call.job.number} {carried.piece.name}": carried.hands
            for call in self.load.calls
            if (outing := self.outings.get(call.number))
            for carried in outing.carry_in.pieces
        }

    def long(self, value_mm: float) -> str:
        """A length in the shop's units."""
        return extent(value_mm, self.shop)

    def heavy(self, value_kg: float) -> str:
        """A mass in the shop's units."""
        return mass(value_kg, self.shop)


def drawn(told: LoadTold, lettering: Lettering) -> Drawing | None:
    """The load as a drawing; None where nothing leans on a frame."""
    if told.load.frame is None or not told.places:
        return None
    return load(told.day.plan, told.load.frame, lettering, told.load.pieces)


def first(told: LoadTold) -> Iterator[Block]:
    """What is wrong, before anything else; then the load at a glance."""
    problems = told.day.plan.problems
    if problems:
        points = tuple((str(each.severity), in_units(each.message, told.shop)) for each in problems)
        yield Points(title="This load breaks a rule", points=points)
    if told.day.plan.left or told.day.plan.right or told.day.plan.rack:
        yield Facts(rows=tuple(_facts(told)))


def rest(told: LoadTold) -> Iterator[Block]:
    """What goes on, what comes off where, what comes besides, how it is tied."""
    yield from _moved(told)
    yield from _adhesives(told)
    kits = {
        f"job {call.job.number} {call.visit.kind}": kit(outing)
        for call in told.load.calls
        if (outing := told.outings.get(call.number))
    }
    if lines := of_day(kits):
        yield kit_table(lines, told.shop)
    if told.day.limits:
        yield _limits(told)


def _facts(told: LoadTold) -> Iterator[tuple[str, str]]:
    plan, frame = told.day.plan, told.load.frame
    assert frame  # noqa: S101  without one nothing is loaded
    count = len(told.day.on)
    yield (
        "On the truck",
        f"{count} piece{'s' if count > 1 else ''}, {told.heavy(told.day.mass_kg)} of "
        f"{told.heavy(frame.payload_kg)} that it takes",
    )
    sides = (("Left", told.day.left_tied), ("Right", told.day.right_tied))
    for (name, side), thick in zip(sides, plan.thickness_mm, strict=True):
        yield (
            f"{name} side",
            f"{told.heavy(side.mass_kg)} of {told.heavy(frame.side_kg)}; {told.long(thick)} of "
            f"{told.long(frame.depth_mm)} thick, pads included",
        )
    if plan.rack:
        yield "Rack", ", ".join(item.name for item in plan.rack)
    yield "Balance", "; ".join(_apart(stop, kg, told) for stop, kg in told.day.apart_kg)
    again = plan.rehandles
    yield (
        "Off and back on",
        f"{again} time{'s' if again > 1 else ''}, {told.heavy(plan.rehandle_kg)} in all"
        if again
        else "nothing",
    )
    if not plan.is_exact:
        yield "Searched", "so many pieces are searched: there may be a better plan"


def _apart(stop: int, apart_kg: float, told: LoadTold) -> str:
    when = f"after stop {stop}" if stop else "on departure"
    if abs(apart_kg) < 1:
        return f"{when} even"
    return f"{when} {told.heavy(abs(apart_kg))} more on the {BALANCE[apart_kg > 0]}"


def _moved(told: LoadTold) -> Iterator[Block]:
    """What goes on, how it is tied, and what comes off where."""
    if told.day.on:
        yield _goes_on(told)
        yield _tied(told)
        off = told.day.off
        calls = (call for call in told.load.calls if call.pieces)
        yield from (_comes_off(call, off.get(call.number, ()), told.places) for call in calls)


def _goes_on(told: LoadTold) -> Table:
    return Table(
        title="Goes on in this order",
        head=("", "Where", "Mass", "Hands", "Mind"),
        rows=tuple(_put_on(number, step, told) for number, step in enumerate(told.day.on, 1)),
        figures=frozenset({2}),
        has_ticks=True,
        notes=(
            "Number 1 of a side is innermost. Each piece stands upright on padding, in the middle "
            "of the frame, and is tied before the next is lifted. Common practice.",
            "Hands: three numbers, never one; by the shop's rule, by the guideline, and the "
            f"lifting index of who bears most, {lifting.AID_INDEX:g} at the most. "
            + " ".join(f"{name}: {gap}." for name, gap in carrying.METHODS.items()),
        ),
    )


def _put_on(number: int, step: Step, told: LoadTold) -> Row:
    return (
        _numbered(number, step),
        f"{_spot(step)}, for stop{GAP}{step.item.stop}",
        told.heavy(step.item.mass_kg),
        _hands(told.hands.get(step.item.name)),
        "; ".join(_mind(step, told)),
    )


def _hands(of: Hands | None) -> str:
    """Three numbers, never one."""
    if of is None:
        return ""
    return (
        f"shop{GAP}{of.shop_people}, guideline{GAP}{of.guideline_people or 'aid'}, "
        f"index{GAP}{of.index_factor:.1f}"
    )


def _numbered(number: int, step: Step) -> str:
    name = step.item.name.replace(" ", GAP)
    return f"{number}.{GAP}{name}"


def _spot(step: Step) -> str:
    return str(step.where) if step.where is Where.RACK else f"{step.where}{GAP}{step.number}"


def _mind(step: Step, told: LoadTold) -> Iterator[str]:
    place = told.places.get(step.item.name)
    if place is None:
        return
    yield str(place.facing)
    if place.item.is_turned_over:
        yield "upside down, the weaker strip above"
    if place.overhang_mm:
        yield f"{told.long(place.overhang_mm)} over the one behind"
    if place.rehandles:
        yield f"off and back on at {place.rehandles} stop{'s' if place.rehandles > 1 else ''}"


def off_at(visit_id: UUID, of: OnTruck) -> Iterator[Block]:
    """What comes off where a visit's stone is set; nothing where it brings none."""
    off, places = unloading(of.plan), _places(of.plan)
    for call in of.load.calls:
        if call.visit.pk != visit_id or not call.pieces:
            continue
        if of.plan.problems:
            points = ("stop", "This load breaks a rule: see the load of the day.")
            yield Points(title="On the truck", points=(points,))
        if steps := off.get(call.number):
            title = f"Comes off the truck at stop {call.number}"
            yield replace(_comes_off(call, steps, places), title=title)


def _places(plan: LoadPlan) -> dict[str, Place]:
    return {each.item.name: each for each in plan.left + plan.right}


def _comes_off(call: Call, steps: Sequence[Step], places: Mapping[str, Place]) -> Table:
    with timezone.override(call.job.site.time_zone):
        clock = f"{timezone.localtime(call.starts_at):%H:%M}"
    return Table(
        title=f"Stop {call.number}, {clock}: {call.visit.kind}, job {call.job.number}, "
        f"{call.job.site.street}",
        head=("", "From", "Then"),
        rows=tuple(
            (_numbered(number, step), _spot(step), _then(step, places))
            for number, step in enumerate(steps, 1)
        ),
    )


def _then(step: Step, places: Mapping[str, Place]) -> str:
    if step.goes_back:
        return f"goes back on, for stop {step.item.stop}"
    place = places.get(step.item.name)
    return "set aside, it is set later" if place and place.is_set_aside else "is carried in"


def _adhesives(told: LoadTold) -> Iterator[Block]:
    rows = tuple(
        (
            call.job.number,
            mixed.seam.name,
            mixed.seam.adhesive or "color not chosen",
            str(mixed.seam.method),
            volume(mixed.takes.volume_ml, told.shop),
        )
        for call in told.load.calls
        if (outing := told.outings.get(call.number))
        for mixed in outing.mixed
    )
    if rows:
        yield Table(
            title="Adhesive for each seam",
            head=("Job", "Seam", "Adhesive", "Grade", "To mix"),
            rows=rows,
            figures=frozenset({4}),
            has_ticks=True,
        )


def _tied(told: LoadTold) -> Table:
    sides = (("left", told.day.left_tied), ("right", told.day.right_tied))
    return Table(
        title="Tie-downs at least",
        head=("Side", "Longest", "Mass", "Tie-downs", "If blocked in front", "Limits together",
              "Pull down"),
        rows=tuple(_side(name, side, told) for name, side in sides if side.tie_downs),
        figures=frozenset({1, 2, 3, 4, 5, 6}),
        notes=(
            "Limits together: the sum of the working load limits. Pull down: as the weight of a "
            f"mass. {securing.CAUTION}",
            f"Source: {securing.SOURCE}.",
        ),
    )  # fmt: skip


def _side(name: str, side: Tied, told: LoadTold) -> Row:
    return (
        name,
        told.long(side.length_mm),
        told.heavy(side.mass_kg),
        str(side.tie_downs),
        str(side.blocked_tie_downs),
        told.heavy(side.least_limit_kg),
        told.heavy(side.down_kg),
    )


def _limits(told: LoadTold) -> Table:
    return Table(
        title="What the limit for overhang costs",
        head=("No more over the one behind than", "Off and back on", "Lifted for it", ""),
        rows=tuple(
            (
                told.long(each.most_overhang_mm) + (f"{GAP}(yours)" if each.is_own else ""),
                str(each.rehandles),
                told.heavy(each.rehandle_kg),
                "" if each.is_feasible else "breaks a rule",
            )
            for each in told.day.limits
        ),
        figures=frozenset({1, 2}),
        notes=("No source names a limit; the shop sets its own. Common practice, not measured.",),
    )


def sheet(told: LoadTold, lettering: Lettering) -> Sheet:
    """The load on paper: what its crew needs while it loads and unloads."""
    load, picture = told.load, drawn(told, lettering)
    pictures = [Pictures(title="On the truck", drawings=(picture,))] if picture else []
    return Sheet(
        heading=f"Load of {load.crew.name}, {load.on:%A} {load.on.day} {load.on:%B}",
        under=f"{load.crew.truck or 'No truck'}, from {load.crew.depot.address}.",
        blocks=(*first(told), *pictures, *_moved(told), *_adhesives(told)),
        cautions=(CAUTION,),
    )
