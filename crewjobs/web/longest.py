"""How long a piece the way in admits, told before anything is cut: no piece has to exist."""

from dataclasses import dataclass
from math import isfinite

from django import forms
from django.http import QueryDict

from crewjobs.domain import access
from crewjobs.domain.access.elements import Limit, limits
from crewjobs.domain.facts import Job
from crewjobs.models import Shop
from crewjobs.web.lengths import LengthField, typed
from crewjobs.web.wording import extent, words

USUAL_DEPTH_MM, USUAL_THICKNESS_MM = 648.0, 30.0
"""25 1/2 in and 3 cm: the usual kitchen top. Common practice."""


class DepthForm(forms.Form):
    """How deep and thick the piece is."""

    def __init__(self, shop: Shop, data: QueryDict | None) -> None:
        asked = data if data and {"depth", "thickness"} & set(data) else None
        super().__init__(asked, auto_id="longest_%s")
        depth, thickness = typed(USUAL_DEPTH_MM, shop), f"{USUAL_THICKNESS_MM:.0f} mm"
        self.fields["depth"] = LengthField(shop=shop, label="Depth", initial=depth)
        self.fields["thickness"] = LengthField(shop=shop, label="Thickness", initial=thickness)

    def size_mm(self, name: str, usual_mm: float) -> float:
        """What was typed, else the usual."""
        self.full_clean()
        found = self.cleaned_data.get(name) if self.is_bound else None
        return float(found) if found else usual_mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One element of the way in, and what it admits."""

    name: str
    level: str
    tilted: str
    missing: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LongestPiece:
    """The longest piece in words, element by element."""

    form: DepthForm
    depth_mm: float
    thickness_mm: float
    rows: tuple[Row, ...]
    level: str
    tilted: str
    is_unknown: bool
    """Something was not measured: the true figure may be smaller."""


def longest(job: Job, shop: Shop, data: QueryDict | None) -> LongestPiece:
    """What the way in of a job admits, at the depth and thickness that were asked for."""
    form = DepthForm(shop, data)
    depth = form.size_mm("depth", USUAL_DEPTH_MM)
    thickness = form.size_mm("thickness", USUAL_THICKNESS_MM)
    route, kept = job.work.route, job.clearances
    found = access.longest_piece(
        route, depth, thickness_mm=thickness, clearances=kept, searched=job.searched
    )
    each = limits(route, depth, thickness, kept, job.searched)
    return LongestPiece(
        form=form,
        depth_mm=depth,
        thickness_mm=thickness,
        rows=tuple(_row(limit, shop) for limit in each),
        level=_told(found.level_mm, found.level_at, shop),
        tilted=_told(found.tilted_mm, found.tilted_at, shop),
        is_unknown=bool(found.missing) or not route,
    )


def _row(limit: Limit, shop: Shop) -> Row:
    return Row(
        name=limit.name,
        level="" if limit.missing else _most(limit.level_mm, shop),
        tilted="" if limit.missing else _most(limit.tilted_mm, shop),
        missing=", ".join(_plain(each) for each in limit.missing),
    )


def _plain(name: str) -> str:
    for ending in ("_mm", "_deg"):
        name = name.replace(ending, "")
    return words(name)


def _most(value_mm: float, shop: Shop) -> str:
    if value_mm <= 0:
        return "nothing of this depth"
    return extent(value_mm, shop) if isfinite(value_mm) else "any length"


def _told(value_mm: float, at: str, shop: Shop) -> str:
    return f"{_most(value_mm, shop)} ({at})" if isfinite(value_mm) else ""
