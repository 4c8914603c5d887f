"""The way in, element by element: measured, added, taken away, put in order. No script is needed.

Every button keeps what stands in the fields, and then does what it says.
"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponseBase, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from crewjobs import snapshots
from crewjobs.actions import measures
from crewjobs.domain.facts import RouteElement, RouteKind
from crewjobs.models import Job, Shop
from crewjobs.permissions import visible_jobs
from crewjobs.web.lengths import LengthField, typed
from crewjobs.web.longest import longest
from crewjobs.web.pages import Asked, page, refusals

MOST_ELEMENTS = 60
WORDS: Mapping[str, str] = {
    "width_mm": "Clear width",
    "height_mm": "Clear height",
    "length_mm": "Length",
    "depth_mm": "Depth",
    "turn_deg": "Turns by, in degrees",
    "hall_mm": "Width of the hall before it",
    "wall_mm": "Thickness of the wall",
    "room_mm": "Free depth of the room ahead",
    "free_wall_mm": "Free wall beyond the far jamb",
    "door_mm": "Clear width of its door",
    "door_height_mm": "Clear height of its door",
    "return_mm": "Narrower front wall beside its door",
    "headroom_mm": "Headroom, upright over the nosings",
    "pitch_deg": "Pitch, in degrees",
    "gap_mm": "Well between the flights",
}
OWN_WORDS: Mapping[tuple[RouteKind, str], str] = {
    (RouteKind.TURN, "width_mm"): "Width of the hall before it",
    (RouteKind.TURN, "depth_mm"): "Width of the hall after it",
    (RouteKind.DOOR, "length_mm"): "Straight hall before it, if it opens sideways",
    (RouteKind.DOOR, "turn_deg"): "Turns by, in degrees, if it opens sideways from a hall",
    (RouteKind.LANDING, "width_mm"): "Width of the flight before it",
    (RouteKind.LANDING, "depth_mm"): "Width of the flight after it, or depth at a half turn",
    (RouteKind.LANDING, "turn_deg"): "Turns by: 90 or 180 degrees",
    (RouteKind.LANDING, "pitch_deg"): "Pitch of the flights, in degrees",
    (RouteKind.LIFT, "width_mm"): "Cab, side to side",
    (RouteKind.LIFT, "depth_mm"): "Cab, door to back",
    (RouteKind.LIFT, "height_mm"): "Cab, height",
}
SIZES: Mapping[RouteKind, tuple[str, ...]] = {
    RouteKind.PATH: ("length_mm", "width_mm", "height_mm"),
    RouteKind.DOOR: ("width_mm", "height_mm", "turn_deg", "hall_mm", "length_mm", "room_mm",
                     "wall_mm", "free_wall_mm"),
    RouteKind.HALL: ("width_mm", "height_mm", "length_mm"),
    RouteKind.TURN: ("width_mm", "depth_mm", "height_mm", "turn_deg", "length_mm"),
    RouteKind.STAIRS: ("width_mm", "height_mm", "headroom_mm", "pitch_deg", "length_mm"),
    RouteKind.LANDING: ("width_mm", "depth_mm", "height_mm", "turn_deg", "pitch_deg", "gap_mm",
                        "length_mm"),
    RouteKind.LIFT: ("width_mm", "depth_mm", "height_mm", "door_mm", "door_height_mm", "return_mm",
                     "wall_mm"),
}  # fmt: skip
"""What is asked of each kind; anything else that was measured is kept and shown."""


class ElementForm(forms.Form):
    """One element; a size that was not touched stays as it was measured."""

    def __init__(
        self, element: RouteElement, place: int, shop: Shop, data: QueryDict | None
    ) -> None:
        super().__init__(data, prefix=f"e{place}", auto_id="%s")
        self.element, self.place = element, place
        kinds = [(str(kind), str(kind)) for kind in RouteKind]
        self.fields["kind"] = forms.ChoiceField(label="What it is", choices=kinds)
        self.fields["name"] = forms.CharField(
            label="Name", required=False, max_length=80, initial=element.name
        )
        self.fields["kind"].initial = element.kind
        if element.kind is RouteKind.STAIRS or element.steps:
            self.fields["steps"] = forms.IntegerField(
                label="Steps", required=False, min_value=0, max_value=1000, initial=element.steps
            )
        for name in RouteElement.sizes():
            value = getattr(element, name)
            if name in SIZES[element.kind] or value is not None:
                self.fields[name] = _field(element.kind, name, value, shop)

    def made(self) -> RouteElement | None:
        """The element as it was typed; None, with the field named, if there is none like that."""
        if not self.is_valid():
            return None
        values = {name: getattr(self.element, name) for name in RouteElement.sizes()}
        values |= {"steps": self.element.steps}
        changed = {name: self.cleaned_data[name] for name in self.changed_data}
        values |= {"name": self.cleaned_data["name"], **changed}
        values |= {"kind": RouteKind(self.cleaned_data["kind"]), "steps": values["steps"] or 0}
        try:
            return RouteElement(**values)
        except ValueError as error:
            named = str(error).split(" ", 1)[0]
            self.add_error(named if named in self.fields else None, _plain(str(error)))
            return None


@require_http_methods(["GET", "HEAD", "POST"])
@page
def show(asked: Asked, job_id: UUID) -> HttpResponseBase:
    if not visible_jobs(asked.by).filter(pk=job_id).exists():
        raise Http404
    asked.require("route.change")
    job = snapshots.whole_jobs().get(pk=job_id)
    facts = snapshots.job_facts(job, asked.shop)
    data = asked.request.POST if asked.request.method == "POST" else None
    elements = [
        ElementForm(element, place, asked.shop, data)
        for place, element in enumerate(facts.work.route)
    ]
    context = {
        "job": job,
        "elements": elements,
        "kinds": list(RouteKind),
        "version": data.get("version", "") if data else job.version,
        "longest": longest(facts, asked.shop, asked.request.GET),
    }
    if data is None:
        return asked.page("way_in.html", context)
    if context["version"] != str(job.version):
        return _conflict(asked, job, context)
    return _changed(asked, job, context, data)


def _changed(asked: Asked, job: Job, context: dict[str, Any], data: QueryDict) -> HttpResponseBase:
    forms_of = context["elements"]
    made = [form.made() for form in forms_of]
    route = [element for element in made if element is not None]
    if len(route) < len(made):
        return asked.page("way_in.html", {**context, "is_wrong": True}, status=422)
    route, at = _arranged(route, data.get("do", ""), data.get("add_kind", ""))
    if len(route) > MOST_ELEMENTS:
        return asked.page("way_in.html", {**context, "is_wrong": True}, status=422)
    found = refusals(
        lambda: measures.change_route(
            job_id=job.pk, route=route, version=job.version, by=asked.by, now=asked.now
        )
    )
    if found:
        return asked.page("way_in.html", {**context, "found": found}, status=409)
    asked.say("The way in is kept.")
    return redirect(f"{reverse('job-way-in', args=[job.pk])}{at}")


def _conflict(asked: Asked, job: Job, context: dict[str, Any]) -> HttpResponseBase:
    """Somebody else was faster: the places may not be the same any more."""
    found = refusals(
        lambda: measures.change_route(
            job_id=job.pk, route=(), version=-1, by=asked.by, now=asked.now
        )
    )
    facts = snapshots.job_facts(job, asked.shop)
    fresh = [ElementForm(e, place, asked.shop, None) for place, e in enumerate(facts.work.route)]
    more = {"elements": fresh, "version": job.version, "found": found}
    return asked.page("way_in.html", {**context, **more}, status=409)


def _arranged(route: list[RouteElement], do: str, add_kind: str) -> tuple[list[RouteElement], str]:
    """The elements after what the button says, and where on the page that is."""
    verb, _, number = do.partition("-")
    place = int(number) if number.isdecimal() and len(number) < 4 else -1
    if verb == "add" and add_kind in set(RouteKind):
        return [*route, RouteElement(kind=RouteKind(add_kind))], f"#e{len(route)}"
    if not 0 <= place < len(route):
        return route, ""
    rest, moved = route[:place] + route[place + 1 :], route[place]
    if verb == "remove":
        return rest, "#elements"
    to = min(max(0, place + {"up": -1, "down": 1}.get(verb, 0)), len(rest))
    return [*rest[:to], moved, *rest[to:]], f"#e{to}"


def _field(kind: RouteKind, name: str, value: float | None, shop: Shop) -> forms.Field:
    label = OWN_WORDS.get((kind, name), WORDS[name])
    if name.endswith("_deg"):
        step = forms.NumberInput({"step": "any"})
        return forms.FloatField(
            label=label, required=False, initial=value, min_value=0, max_value=360, widget=step
        )
    return LengthField(shop=shop, label=label, initial=typed(value, shop))


def _plain(message: str) -> str:
    return message.replace("_mm", "").replace("_deg", "").replace("_", " ")
