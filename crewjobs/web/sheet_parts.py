"""The parts of a visit's sheet, each from its facts: what a crew reads without any screen.

Words and figures in the shop's units; they judge nothing themselves. Each part is left out where
there is nothing to say.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crewjobs.actions.hours import WorkingPlan
from crewjobs.domain import answers, dust, lifting, rails
from crewjobs.domain.carrying import Carried
from crewjobs.domain.drawings import piece as piece_drawing
from crewjobs.domain.dust import DustyWork, Protection
from crewjobs.domain.facts import DustRules, Job, Piece, Seam
from crewjobs.domain.findings import Finding, Severity
from crewjobs.domain.kit import Line, Outing
from crewjobs.domain.questions import Form
from crewjobs.domain.sheets import Block, Pictures, Points, Row, Table
from crewjobs.models import Shop
from crewjobs.web import carrying, drawings
from crewjobs.web.kits import KitRow, cautions, kit_rows, volume
from crewjobs.web.wording import NOTHING, extent, hours, in_units, mass, minutes

BY = " \u00d7 "
"""Between the sizes of one thing."""
MARKS = {True: "yes", False: "no", None: NOTHING}


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What the parts are made of."""

    shop: Shop
    job: Job
    """The whole job, as its forms and its way in see it."""
    outing: Outing
    plan: WorkingPlan
    findings: tuple[Finding, ...]
    lines: tuple[Line, ...]
    """The kit."""

    def long(self, value_mm: float | None) -> str:
        """A length in the shop's units."""
        return extent(value_mm, self.shop)


def parts(told: Told) -> Iterator[Block]:
    """Every part that this visit has, in the order in which it is needed."""
    yield from _cautions(told)
    if told.outing.stone_is_set:
        yield from _pieces(told)
    yield from _kit(told)
    if told.outing.stone_is_set:
        yield from _asked(told)
        yield from _way_in(told)
        yield from _supports(told)
        yield from _seams(told)
    yield from _dust(told)
    yield from _order(told)


def _cautions(told: Told) -> Iterator[Block]:
    heavy = [each for each in told.findings if each.severity is not Severity.NOTE]
    if heavy:
        points = tuple((str(each.severity), in_units(each.message, told.shop)) for each in heavy)
        yield Points(title="Cautions", points=points)
    notes = [each for each in told.findings if each.severity is Severity.NOTE]
    if notes:
        points = tuple(("", in_units(each.message, told.shop)) for each in notes)
        yield Points(title="Good to know, or not measured", points=points)


def _pieces(told: Told) -> Iterator[Block]:
    carried = told.outing.carry_in
    pitch = f", on stairs of {carried.pitch_deg:.0f}°" if carried.pitch_deg else ""
    yield Table(
        title="Pieces, in the order in which they are set",
        head=("", "Piece", "Long, deep, thick", "Mass", "Shop", "Guideline", "Index", "Grip",
              "Mind"),
        rows=tuple(
            _piece(number, each, told) for number, each in enumerate(carried.pieces, start=1)
        ),
        figures=frozenset({3, 4, 5, 6, 7}),
        notes=(
            f"Shop, guideline, index: three numbers of hands, never one. The index is of whoever "
            f"bears most in a team of {carried.people}{pitch}; {lifting.AID_INDEX:g} is its most. "
            "Aid: no team of up to three may lift it. "
            + " ".join(f"{name}: {gap}." for name, gap in carrying.METHODS.items()),
            "Grip: from each end, when the piece is laid flat; never at the strip beside a hole.",
        ),
    )  # fmt: skip
    how = drawings.lettering(told.shop)
    longest = max(piece.length_mm for piece in told.outing.work.pieces)
    yield Pictures(
        title="Pieces, all to one scale, front below",
        drawings=tuple(
            piece_drawing(piece, how, longest_mm=longest, limits=told.job.limits)
            for piece in told.outing.work.pieces
        ),
    )


def _piece(number: int, carried: Carried, told: Told) -> Row:
    piece, hands = carried.piece, carried.hands
    return (
        str(number),
        piece.name,
        BY.join(map(told.long, (piece.length_mm, piece.depth_mm, piece.thickness_mm))),
        mass(hands.mass_kg, told.shop),
        str(hands.shop_people),
        str(hands.guideline_people or "aid"),
        f"{hands.index_factor:.1f}",
        _grip(piece, told),
        "; ".join(_mind(piece, told)),
    )


def _grip(piece: Piece, told: Told) -> str:
    """How far from each end it is held; a dash where no place is clear."""
    try:
        return told.long(rails.grip_mm(piece, limits=told.job.limits))
    except ValueError:
        return NOTHING


def _mind(piece: Piece, told: Told) -> Iterator[str]:
    """What is special about a piece."""
    if str(piece.kind) != "top":
        yield str(piece.kind)
    if piece.needs_field_cut:
        yield "cut on site"
    for cutout in piece.cutouts:
        size = BY.join(map(told.long, (cutout.width_mm, cutout.height_mm)))
        yield f"{cutout.kind} {size}" + (", made on site" if cutout.is_made_on_site else "")
    stiffened = {line.why for line in told.lines if line.name == "stiffener rail"}
    if any(f"{cutout.kind} in {piece.name}" in stiffened for cutout in piece.cutouts):
        yield "stiffener across its cutout"


def _way_in(told: Told) -> Iterator[Block]:
    route = told.outing.work.route
    found = carrying.way_in(told.outing.job, told.shop)
    if route:
        yield Table(
            title="The way in, from the truck",
            head=("Element", "Wide", "High", "Long", "More"),
            rows=tuple(
                (
                    f"{element.kind}" + (f": {element.name}" if element.name else "")
                    + (f", {element.steps} steps" if element.steps else ""),
                    told.long(element.width_mm),
                    told.long(element.height_mm),
                    told.long(element.length_mm),
                    carrying.more_sizes(element, told.shop),
                )
                for element in route
            ),
            figures=frozenset({1, 2, 3}),
        )  # fmt: skip
    unknown = "Not measured: " + ", ".join(found.missing) + ". Nothing is said to fit until it is."
    yield Table(
        title="Whether each piece goes in",
        head=("Piece", "Answer", "Where it is decided, and how"),
        rows=tuple((row.name, row.answer, row.details) for row in found.rows),
        notes=tuple(
            note
            for note in (
                found.longest,
                unknown if found.missing else "",
                f"Clearances: {in_units(found.clearances, told.shop)}. {found.caution}",
            )
            if note
        ),
    )


def _seams(told: Told) -> Iterator[Block]:
    seams = told.outing.work.seams
    if seams:
        degrees = in_units(f"{told.outing.work.temperature_deg_c:g} C", told.shop)
        yield Table(
            title=f"Seams, at {degrees}",
            head=("Seam", "Long", "Adhesive", "To mix", "Batches", "Soft for", "Hard after",
                  "To a sink", "Over dishwasher"),
            rows=tuple(_seam(seam, told) for seam in seams),
            figures=frozenset({1, 3, 4, 5, 6, 7}),
            notes=(
                "Planning figures; the maker's sheet comes first. Gloves, fresh air, no flame. "
                "Every piece is fitted before the first seam is filled.",
            ),
        )  # fmt: skip


def _seam(seam: Seam, told: Told) -> Row:
    takes = told.outing.adhesive(seam)
    return (
        f"{seam.name}",
        told.long(seam.length_mm),
        f"{seam.adhesive or 'color not chosen'}, {seam.method}",
        volume(takes.volume_ml, told.shop),
        str(takes.batches),
        f"{minutes(takes.working_min)} min",
        f"{minutes(takes.hard_min)} min",
        told.long(seam.to_sink_mm),
        MARKS[seam.is_over_dishwasher],
    )


def _supports(told: Told) -> Iterator[Block]:
    supports = told.outing.work.supports
    pieces = {piece.name: piece for piece in told.outing.work.pieces}
    measured = [p for p in pieces.values() if p.overhang_mm is not None or p.span_mm is not None]
    rows = [
        (support.piece, str(support.kind), "in place" if support.is_in_place else "to be fitted",
         told.long(pieces[support.piece].overhang_mm), told.long(pieces[support.piece].span_mm))
        for support in supports
    ]  # fmt: skip
    held = {support.piece for support in supports}
    rows += [
        (piece.name, "cabinets alone", "", told.long(piece.overhang_mm), told.long(piece.span_mm))
        for piece in measured
        if piece.name not in held
    ]
    if rows:
        yield Table(
            title="Supports",
            head=("Piece", "Support", "State", "Overhang", "Span"),
            rows=tuple(rows),
            figures=frozenset({3, 4}),
            has_ticks=True,
        )


def _dust(told: Told) -> Iterator[Block]:
    shift = told.outing.dusty
    if not shift:
        return
    sets = [told.job.dust_rules] if told.job.dust_rules else list(DustRules)
    outdoors = tuple(
        DustyWork(task=each.task, minutes_min=each.minutes_min, is_outdoors=True) for each in shift
    )
    rows = [
        (str(inside.work.task), f"{inside.work.minutes_min:.0f} min", str(rules), inside.controls,
         _worn(outside), _worn(inside))
        for rules in sets
        for inside, outside in zip(
            dust.protections(shift, rules), dust.protections(outdoors, rules), strict=True
        )
    ]  # fmt: skip
    yield Table(
        title="Cut on site: dust controls and respirators",
        head=("Task", "Takes", "Rules", "Control", "Outdoors", "Indoors"),
        rows=tuple(rows),
        figures=frozenset({1}),
        notes=(dust.CAUTION,),
    )


def _worn(found: Protection) -> str:
    return str(found.respirator) if found.respirator else "in no row of the table"


def _order(told: Told) -> Iterator[Block]:
    rows = tuple(
        (
            hours(task.start_min),
            hours(task.end_min),
            task.name + (" (decides the end)" if task.is_critical else ""),
            ", ".join(map(str, task.people)) if task.hands else "adhesive alone",
        )
        for task in told.plan.tasks
    )
    if rows:
        yield Table(
            title="Order of work",
            head=("From", "To", "Task", "Who"),
            rows=rows,
            figures=frozenset({0, 1}),
            has_ticks=True,
            notes=(
                "One way to do it in the hours that half of such visits keep; hours and minutes "
                "from the start of the work, breaks not counted. Whoever is number 1 is up to the "
                "crew.",
            ),
        )


def _kit(told: Told) -> Iterator[Block]:
    """The kit, and then where its figures come from."""
    rows = kit_rows(told.lines, told.shop)
    if rows:
        groups = {row.group: row for row in reversed(rows)}.values()
        yield Table(
            title="To load: tools and materials",
            head=("", "Amount", "What", "For"),
            rows=tuple(
                (row.group if row in groups else "", row.amount, row.name, row.why) for row in rows
            ),
            has_ticks=True,
            notes=(" ".join(cautions(told.lines)), "Rules: " + _rules(rows) + "."),
        )


def _rules(rows: Sequence[KitRow]) -> str:
    """Where the amounts come from, each rule once with what it counts."""
    counted: dict[str, list[str]] = {}
    for row in rows:
        counted.setdefault(row.source, []).append(row.thing)
    return "; ".join(
        f"{', '.join(dict.fromkeys(names))}: {source}" for source, names in counted.items()
    )


def _asked(told: Told) -> Iterator[Block]:
    """What is to be answered on site before anything is unloaded, and what was answered so far."""
    said = {code for code, about in answers.newest(told.job) if not about}
    asked = answers.asked(told.job, Form.WALK_THROUGH)
    known = any(question.code in said for question in asked)
    if asked:
        yield Table(
            title="Before anything is unloaded",
            head=("Question", "So far", "Answer") if known else ("Question", "Answer"),
            rows=tuple(
                (each.words, _said(told, each.code), "") if known else (each.words, "")
                for each in asked
            ),
            notes=tuple(
                f"{each.question.words}: {in_units(each.reason, told.shop)}."
                for each in answers.bad(told.job, Form.WALK_THROUGH)
            ),
            has_ticks=True,
            has_names=False,
        )


def _said(told: Told, code: str) -> str:
    answer = answers.newest(told.job).get((code, ""))
    if answer is None:
        return ""
    return told.long(answer.measured_mm) if answer.measured_mm is not None else str(answer.said)
