"""The stone on a visit's sheet: pieces, the way in, supports and seams.

Words, figures and drawings in the shop's units; they judge nothing themselves.
"""

from collections.abc import Iterator

from crewjobs.domain import lifting, rails
from crewjobs.domain.access import Answer
from crewjobs.domain.adhesives import Mixed
from crewjobs.domain.carrying import Carried
from crewjobs.domain.drawings import layout, tightest
from crewjobs.domain.drawings import piece as piece_drawing
from crewjobs.domain.facts import Piece, RouteElement
from crewjobs.domain.sheets import Block, Pictures, Row, Table
from crewjobs.web import carrying, drawings
from crewjobs.web.kits import volume
from crewjobs.web.told import Told
from crewjobs.web.wording import GAP, NOTHING, in_units, mass, minutes

BY = " \u00d7 "
"""Between the sizes of one thing."""
MARKS = {True: "yes", False: "no", None: NOTHING}


def stone(told: Told) -> Iterator[Block]:
    """What is known of the stone, in the order in which it is needed on site."""
    yield from route(told)
    yield from _way_in(told)
    yield from _tight(told)
    yield from _supports(told)
    yield from _seams(told)


def pieces(told: Told) -> Iterator[Block]:
    """Every piece with its size, its mass, three numbers of hands and what to mind; drawn."""
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
    if len(told.outing.work.pieces) > 1:
        yield Pictures(title="Layout", drawings=(layout(told.outing.work, how),))
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


def route(told: Told) -> Iterator[Block]:
    """The way in, as far as it was measured."""
    elements = told.outing.work.route
    if elements:
        yield Table(
            title="The way in, from the truck",
            head=("Element", "Wide", "High", "Long", "More"),
            rows=tuple(_element(each, told) for each in elements),
            figures=frozenset({1, 2, 3}),
        )


def _element(of: RouteElement, told: Told) -> Row:
    name = f"{of.kind}: {of.name}" if of.name else str(of.kind)
    return (
        f"{name}, {of.steps} steps" if of.steps else name,
        told.long(of.width_mm),
        told.long(of.height_mm),
        told.long(of.length_mm),
        carrying.more_sizes(of, told.shop),
    )


def _way_in(told: Told) -> Iterator[Block]:
    found = carrying.in_words(told.job, told.outing.carry_in, told.shop)
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


def _tight(told: Told) -> Iterator[Block]:
    """The tightest place of each piece that is tilted, stuck or near it; else of the tightest."""
    carried = [each for each in told.outing.carry_in.pieces if each.verdict.tightest]
    shown = [each for each in carried if _is_tight(each)] or sorted(
        carried, key=lambda each: each.verdict.margin_mm
    )[:1]
    how = drawings.lettering(told.shop)
    found = (tightest(each.piece, told.outing.work.route, each.verdict, how) for each in shown)
    if drawn := tuple(each for each in found if each):
        yield Pictures(title="The tightest place", drawings=drawn)


def _is_tight(carried: Carried) -> bool:
    verdict = carried.verdict
    return verdict.measure_again or verdict.answer in (Answer.TILTED, Answer.TOO_LONG)


def _seams(told: Told) -> Iterator[Block]:
    found = told.outing.mixed
    if found:
        degrees = in_units(f"{told.outing.work.temperature_deg_c:g} C", told.shop)
        yield Table(
            title=f"Seams, at {degrees}",
            head=("Seam", "Long", "Adhesive", "To mix", "Batches", "Soft for", "Hard after",
                  "To a sink", "Over dishwasher"),
            rows=tuple(_seam(each, told) for each in found),
            figures=frozenset({1, 3, 4, 5, 6, 7}),
            notes=(
                "Planning figures; the maker's sheet comes first. Gloves, fresh air, no flame. "
                "Every piece is fitted before the first seam is filled.",
            ),
        )  # fmt: skip


def _seam(mixed: Mixed, told: Told) -> Row:
    seam, takes = mixed.seam, mixed.takes
    return (
        f"{seam.name}",
        told.long(seam.length_mm),
        f"{seam.adhesive or 'color not chosen'}, {seam.method}",
        volume(takes.volume_ml, told.shop),
        str(takes.batches),
        f"{minutes(takes.working_min)}{GAP}min",
        f"{minutes(takes.hard_min)}{GAP}min",
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
