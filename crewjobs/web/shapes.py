"""A piece by its plain shape, typed as people measure: redrawn, or a new one."""

import re
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from crewjobs import snapshots
from crewjobs.actions import drawn_pieces
from crewjobs.domain import drawings, facts, plain_shapes, units
from crewjobs.domain.facts import PieceKind
from crewjobs.domain.outlines import Corner, Outline, rounded_mm
from crewjobs.domain.plain_shapes import Shape
from crewjobs.models import Job, Piece, Shop
from crewjobs.permissions import visible_jobs
from crewjobs.web.drawings import on_page
from crewjobs.web.lengths import LengthField, bare_mm, typed
from crewjobs.web.pages import Asked, page, refusals
from crewjobs.web.wording import extent

USUAL_MM = 30.0
"""The usual thickness. Common practice."""
SIZES = {
    "length_mm": "Length over all",
    "depth_mm": "Depth",
    "leg_mm": "L: the other leg over all, from the outer corner",
    "left_mm": "U: left leg over all",
    "right_mm": "U: right leg over all",
    "leg_depth_mm": "L, U: depth of the legs, if another",
}


class ShapeForm(forms.Form):
    """A name, a shape and its sizes; makes the outline, or says at which field it cannot."""

    name = forms.CharField(max_length=60)
    kind = forms.ChoiceField(choices=[(str(each), str(each)) for each in PieceKind])
    shape = forms.ChoiceField(choices=[(str(each), str(each)) for each in Shape])
    corner = forms.ChoiceField(
        label="L: where its outer corner is, front below",
        initial=str(Corner.BACK_LEFT),
        choices=[(str(each), str(each)) for each in Corner],
    )
    radii = forms.CharField(
        label="Radii of rounded corners, one after the other",
        required=False,
        max_length=200,
        help_text="Parted by commas, 0 for a sharp one. A rectangle begins at the front left and "
        "runs to the front right; an L at its outer corner, a U at its back left, along the length",
    )

    def __init__(self, shop: Shop, data: QueryDict | None, piece: Piece | None) -> None:
        super().__init__(data, initial={"name": piece.name, "kind": piece.kind} if piece else None)
        self.shop, self.bare_mm = shop, bare_mm(shop)
        thickness_mm = piece.thickness_mm if piece else USUAL_MM
        self.fields["thickness_mm"] = LengthField(
            shop=shop, label="Thickness", initial=typed(thickness_mm, shop)
        )
        for name, label in SIZES.items():
            self.fields[name] = LengthField(shop=shop, label=label)
        self.order_fields(["name", "kind", "thickness_mm", "shape", *SIZES, "corner", "radii"])

    def clean(self) -> dict[str, object]:
        """The values, with the outline that they make."""
        found: dict[str, object] = self.cleaned_data
        if not self.errors:
            found["outline_mm"] = self._outline()
        return found

    def drawn(self) -> facts.Piece:
        """The piece as it is to be."""
        found = self.cleaned_data
        return facts.Piece(
            name=found["name"],
            kind=PieceKind(found["kind"]),
            outline_mm=found["outline_mm"],
            thickness_mm=found["thickness_mm"],
        )

    def _outline(self) -> Outline | None:
        found = self.cleaned_data
        shape = Shape(found["shape"])
        sizes = {name: found[name] for name in SIZES if found[name] is not None}
        wrong = plain_shapes.faults(shape, sizes)
        if not found["thickness_mm"]:
            wrong["thickness_mm"] = "it must be more than 0"
        for name, said in wrong.items():
            self.add_error(name, said)
        if wrong:
            return None
        try:
            return self._rounded(plain_shapes.outline_mm(shape, sizes, Corner(found["corner"])))
        except ValueError as error:
            named, said = str(error).split(" ", 1)[0], str(error)
            where = named if named in SIZES else "radii"
            self.add_error(where, said if where == "radii" else self._in_words(said))
            return None

    def _in_words(self, said: str) -> str:
        """Without the field's own name, its limit in the shop's units."""
        own = said.split(", ", 1)[1]
        return re.sub(r"([\d.]+) mm", lambda found: extent(float(found[1]), self.shop), own)

    def _rounded(self, sharp: Outline) -> Outline:
        texts = [each for each in self.cleaned_data["radii"].split(",") if each.strip()]
        radii = [units.length_mm(text, bare_mm=self.bare_mm) for text in texts]
        if len(radii) > len(sharp):
            raise ValueError(f"it has {len(sharp)} corners, not {len(radii)}")
        return rounded_mm(sharp, dict(enumerate(radii))) if any(radii) else sharp


@require_http_methods(["GET", "HEAD", "POST"])
@page
def show(asked: Asked, job_id: UUID, piece_id: UUID | None = None) -> HttpResponseBase:
    job = _job(asked, job_id)
    asked.require("stone.change")
    piece = get_object_or_404(job.pieces, pk=piece_id) if piece_id else None
    data = asked.request.POST if asked.request.method == "POST" else None
    form = ShapeForm(asked.shop, data, piece)
    context = {"job": job, "piece": piece, "form": form, "drawn": _now(asked, piece)}
    if data is None:
        return asked.page("shape.html", {**context, "version": job.version})
    version = data.get("version", "")
    context["version"] = version
    if not form.is_valid():
        return asked.page("shape.html", context, status=422)
    drawn = form.drawn()
    if piece is None and job.pieces.filter(name=drawn.name).exists():
        form.add_error("name", "the job has a piece of this name already")
        return asked.page("shape.html", context, status=422)
    found = refusals(
        lambda: drawn_pieces.draw(
            job_id=job_id,
            drawn=drawn,
            version=int(version) if version.isdecimal() and len(version) < 10 else 0,
            by=asked.by,
            now=asked.now,
        )
    )
    if found:
        return asked.page("shape.html", {**context, "found": found}, status=409)
    asked.say(f"Piece {drawn.name} is drawn.")
    return redirect("job", job_id)


def _job(asked: Asked, job_id: UUID) -> Job:
    job = visible_jobs(asked.by).filter(pk=job_id).first()
    if job is None:
        raise Http404
    return job


def _now(asked: Asked, piece: Piece | None) -> object:
    """The piece as it is drawn before."""
    if piece is None:
        return None
    fact = snapshots.piece(piece)
    return on_page(lambda lettering: drawings.piece(fact, lettering), asked.shop, "before")
