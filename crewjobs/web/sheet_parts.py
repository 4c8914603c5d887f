"""The parts of a visit's sheet, each from its facts: what a crew reads without any screen.

Words and figures in the shop's units; they judge nothing themselves. Each part is left out where
there is nothing to say.
"""

from collections.abc import Iterator, Sequence

from crewjobs.domain import answers, dust
from crewjobs.domain.dust import DustyWork, Protection
from crewjobs.domain.facts import DustRules, VisitKind
from crewjobs.domain.findings import Severity
from crewjobs.domain.kit import Line
from crewjobs.domain.questions import Form
from crewjobs.domain.sheets import Block, Points, Table
from crewjobs.models import Shop
from crewjobs.web import sheet_stone
from crewjobs.web.kits import cautions, kit_rows
from crewjobs.web.told import Told
from crewjobs.web.wording import GAP, hours, in_units


def parts(told: Told) -> Iterator[Block]:
    """Every part that this visit has, in the order in which it is needed."""
    yield from _cautions(told)
    if told.outing.stone_is_set:
        yield from sheet_stone.pieces(told)
    yield from told.off
    if told.lines:
        yield kit_table(told.lines, told.shop)
    if told.outing.stone_is_set:
        yield from _asked(told, Form.WALK_THROUGH, "Before anything is unloaded")
        yield from sheet_stone.stone(told)
    elif told.outing.kind is VisitKind.TEMPLATE:
        yield from _asked(told, Form.TEMPLATE_VISIT, "To be measured and asked")
        yield from sheet_stone.route(told)
    yield from _dust(told)
    yield from _order(told)


IN_A_TABLE = frozenset({"site_dust"})
"""Findings that a part of the sheet says whole, and clearer."""


def _cautions(told: Told) -> Iterator[Block]:
    found = [each for each in told.findings if each.code not in IN_A_TABLE]
    heavy = [each for each in found if each.severity is not Severity.NOTE]
    if heavy:
        points = tuple((str(each.severity), in_units(each.message, told.shop)) for each in heavy)
        yield Points(title="Cautions", points=points)
    notes = [each for each in found if each.severity is Severity.NOTE]
    if notes:
        points = tuple(("", in_units(each.message, told.shop)) for each in notes)
        yield Points(title="Good to know, or not measured", points=points)


def _dust(told: Told) -> Iterator[Block]:
    shift = told.outing.dusty
    if not shift:
        return
    sets = [told.job.dust_rules] if told.job.dust_rules else list(DustRules)
    outdoors = tuple(
        DustyWork(task=each.task, minutes_min=each.minutes_min, is_outdoors=True) for each in shift
    )
    rows = [
        (str(inside.work.task), f"{inside.work.minutes_min:.0f}{GAP}min", str(rules),
         inside.controls, _worn(outside), _worn(inside))
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


def kit_table(lines: Sequence[Line], shop: Shop) -> Table:
    """What is to be loaded, with boxes to tick."""
    rows = kit_rows(lines, shop)
    firsts = {row.group: row for row in reversed(rows)}.values()
    return Table(
        title="To load: tools and materials",
        head=("", "Amount", "What", "For"),
        rows=tuple(
            (
                row.group if row in firsts else "",
                f"{row.amount} *" if row.is_guess else row.amount,
                row.name,
                row.why,
            )
            for row in rows
        ),
        has_ticks=True,
        notes=(
            "* By common practice, not measured. The visit's page tells every rule.",
            " ".join(cautions(lines)),
        ),
    )


def _asked(told: Told, form: Form, title: str) -> Iterator[Block]:
    """The questions of a form, with what was answered so far."""
    said = answers.answered(told.job, form)
    asked = answers.asked(told.job, form)
    known = any(question.code in said for question in asked)
    if asked:
        yield Table(
            title=title,
            head=("Question", "So far", "Answer") if known else ("Question", "Answer"),
            rows=tuple(
                (each.words, _said(told, each.code) if each.code in said else "", "")
                if known
                else (each.words, "")
                for each in asked
            ),
            notes=tuple(
                f"{each.question.words}: {in_units(each.reason, told.shop)}."
                for each in answers.bad(told.job, form)
            ),
            has_ticks=True,
            has_names=False,
        )


def _said(told: Told, code: str) -> str:
    answer = answers.newest(told.job).get((code, ""))
    if answer is None:
        return ""
    return told.long(answer.measured_mm) if answer.measured_mm is not None else str(answer.said)
