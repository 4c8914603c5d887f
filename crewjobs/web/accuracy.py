"""How well the hours foretold: as a page with a plot, and as a file for a spreadsheet."""

import csv
from collections.abc import Iterable

from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.domain.hours import accuracy
from crewjobs.snapshots import MOST_FORETOLD, Foretold
from crewjobs.web import accuracy_plot
from crewjobs.web.pages import Asked, page
from crewjobs.web.wording import hours

TITLES = {"crew": "By crew", "element": "By part of the work",
          "month": "By month"}  # fmt: skip
HEADER = ("job", "visit", "crew", "finished on", "P50 min", "P80 min", "P90 min", "actual min",
          "kept P80", "kept P90", "model")  # fmt: skip
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What a spreadsheet takes for the beginning of a formula (OWASP, CSV injection)."""


@require_safe
@page
def show(asked: Asked) -> HttpResponseBase:
    asked.require("hours.read")
    found = snapshots.foretold(asked.shop)
    context = {
        "rows": [
            (TITLES.get(row.by, ""), row, 1 + row.bias_share)
            for row in accuracy.rows([each.pair for each in found])
        ],
        "plot": accuracy_plot.draw(_marks(found)),
        "most": MOST_FORETOLD,
    }
    return asked.page("accuracy.html", context)


@require_safe
@page
def as_file(asked: Asked) -> HttpResponseBase:
    asked.require("hours.read")
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="accuracy.csv"'
    lines = csv.writer(answer)
    lines.writerow(HEADER)
    for each in snapshots.foretold(asked.shop):
        lines.writerow([safe(cell) for cell in _cells(each)])
    return answer


def safe(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(RISKY) else cell


def _cells(of: Foretold) -> tuple[object, ...]:
    visit, pair = of.visit, of.pair
    return (
        visit.job.number,
        visit.kind,
        pair.crew,
        pair.finished_on,
        *(round(value, 1) for value in (pair.p50_min, pair.p80_min, pair.p90_min)),
        round(pair.actual_min, 1),
        *("yes" if pair.actual_min <= limit else "no" for limit in (pair.p80_min, pair.p90_min)),
        visit.hours_model.version if visit.hours_model else "standard minutes",
    )


def _marks(found: Iterable[Foretold]) -> list[accuracy_plot.Visit]:
    return [
        accuracy_plot.Visit(
            url=reverse("visit", args=[each.visit.pk]),
            title=(
                f"{each.visit.job.number} {each.visit.kind}: "
                f"foretold {hours(each.pair.p50_min)}, took {hours(each.pair.actual_min)}"
            ),
            pair=each.pair,
        )
        for each in found
    ]
