"""What was measured of a job's site, pieces, cutouts and seams, typed as people write lengths."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from crewjobs import snapshots
from crewjobs.actions import measures
from crewjobs.actions.measures import Measures
from crewjobs.models import Cutout, Job, Piece, Seam, Shop
from crewjobs.permissions import visible_jobs
from crewjobs.web.lengths import LengthField, typed
from crewjobs.web.pages import Asked, page, refusals
from crewjobs.web.wording import extent

Words = Mapping[str, str]
SITE: Words = {
    "off_level_mm": "Cabinets out of level over their run",
    "has_dishwasher": "A dishwasher stands in the run and is fastened to the stone",
}
PIECE: Words = {
    "overhang_mm": "Overhang beyond its supports, at most",
    "span_mm": "Widest opening that it bridges",
    "dishwasher_hole_mm": "Depth of holes drilled from below",
}
CUTOUT: Words = {
    "front_rail_mm": "Stone between hole and front edge",
    "back_rail_mm": "Stone between hole and back edge",
    "cabinet_mm": "Inside width of the cabinet below",
    "is_supported": "Carried by the cabinet, not by the stone",
}
SEAM: Words = {
    "to_sink_mm": "To the nearest sink cutout",
    "is_over_dishwasher": "Over a dishwasher",
    "adhesive": "Adhesive: product and colour",
    "gap_mm": "Width, once it is made",
    "edge_lippage_mm": "Step at the front or rear edge",
    "lippage_mm": "Step at mid-depth",
}
MAYBE = [("", "not known"), ("yes", "yes"), ("no", "no")]


class MeasuresForm(forms.Form):
    """The measures of one row; what was not touched does not change."""

    def __init__(
        self, row: object, named: Words, shop: Shop, *, prefix: str, data: QueryDict | None
    ) -> None:
        super().__init__(data, prefix=prefix, auto_id="%s")
        for name, label in named.items():
            self.fields[name] = _field(name, label, getattr(row, name), shop)

    def changes(self) -> dict[str, object]:
        """The columns that somebody typed anew."""
        found = {name: self.cleaned_data[name] for name in self.changed_data}
        return {
            name: _yes(value) if name.startswith(("is_", "has_")) else value
            for name, value in found.items()
        }


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """One row of the job, with its form under a heading."""

    title: str
    of: str
    row_id: UUID
    form: MeasuresForm


@require_http_methods(["GET", "HEAD", "POST"])
@page
def show(asked: Asked, job_id: UUID) -> HttpResponseBase:
    if not visible_jobs(asked.by).filter(pk=job_id).exists():
        raise Http404
    asked.require("stone.change")
    job = snapshots.whole_jobs().get(pk=job_id)
    data = asked.request.POST if asked.request.method == "POST" else None
    groups = list(_groups(job, asked.shop, data))
    context = {"job": job, "groups": groups}
    if data is None:
        return asked.page("measures.html", {**context, "version": job.version})
    version = data.get("version", "")
    context["version"] = version
    if sum(not group.form.is_valid() for group in groups):
        return asked.page("measures.html", {**context, "is_wrong": True}, status=422)
    found = refusals(
        lambda: measures.change(
            job_id=job_id,
            measures=_measures(groups),
            version=int(version) if version.isdecimal() and len(version) < 10 else 0,
            by=asked.by,
            now=asked.now,
        )
    )
    if found:
        return asked.page("measures.html", {**context, "found": found}, status=409)
    asked.say("The measures are kept.")
    return redirect("job", job_id)


def _groups(job: Job, shop: Shop, data: QueryDict | None) -> Iterator[Group]:
    def group(title: str, of: str, row: Job | Piece | Cutout | Seam, named: Words) -> Group:
        form = MeasuresForm(row, named, shop, prefix=f"{of}-{row.pk}", data=data)
        return Group(title=title, of=of, row_id=row.pk, form=form)

    yield group("Site", "site", job, SITE)
    for piece in job.pieces.all():
        yield group(f"Piece {piece.name}", "pieces", piece, PIECE)
        for cutout in piece.cutouts.all():
            size = f"{extent(cutout.width_mm, shop)} × {extent(cutout.height_mm, shop)}"  # noqa: RUF001 (as it is written)
            yield group(f"Piece {piece.name}: {cutout.kind}, {size}", "cutouts", cutout, CUTOUT)
    for seam in job.seams.all():
        yield group(f"Seam {seam.name}", "seams", seam, SEAM)


def _measures(groups: Iterable[Group]) -> Measures:
    found: dict[str, dict[UUID, dict[str, object]]] = {"pieces": {}, "cutouts": {}, "seams": {}}
    site: dict[str, object] = {}
    for group in groups:
        if changes := group.form.changes():
            if group.of == "site":
                site = changes
            else:
                found[group.of][group.row_id] = changes
    return Measures(site=site, **found)


def _field(name: str, label: str, value: object, shop: Shop) -> forms.Field:
    if name.endswith("_mm"):
        value_mm = value if isinstance(value, float) else None
        return LengthField(shop=shop, label=label, initial=typed(value_mm, shop))
    if name == "adhesive":
        return forms.CharField(label=label, required=False, max_length=80, initial=str(value or ""))
    choices = MAYBE[1:] if name.startswith("has_") else MAYBE
    known = "" if value is None else "yes" if value else "no"
    return forms.ChoiceField(label=label, required=False, choices=choices, initial=known)


def _yes(value: object) -> bool | None:
    return None if value == "" else value == "yes"
