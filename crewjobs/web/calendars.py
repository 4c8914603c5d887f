"""Calendar links: made, shown once, revoked."""

from uuid import UUID

from django import forms
from django.conf import settings
from django.db.models import Q, QuerySet
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from crewjobs.actions import links
from crewjobs.models import Crew, Link, Person, Purpose
from crewjobs.permissions import SEES_EVERYTHING
from crewjobs.web.pages import Asked, page, refusals


class MakeForm(forms.Form):
    """Whose calendar: everybody's, a crew's, a person's."""

    whose = forms.ChoiceField(label="Whose visits")

    def __init__(self, asked: Asked, *args: object) -> None:
        super().__init__(*args)  # type: ignore[arg-type]
        field = self.fields["whose"]
        if isinstance(field, forms.ChoiceField):
            field.choices = _choices(asked)


def _choices(asked: Asked) -> list[tuple[str, str]]:
    """What this person may make a calendar of."""
    crews, people = Crew.objects.filter(is_active=True), Person.objects.filter(is_active=True)
    if asked.by.role not in SEES_EVERYTHING:
        crews = crews.filter(members=asked.by)
        people = people.filter(pk=asked.by.pk)
    shop = [("shop", "all crews")] if asked.by.role in SEES_EVERYTHING else []
    return [
        *shop,
        *((f"crew {crew.pk}", crew.name) for crew in crews),
        *((f"person {person.pk}", person.name) for person in people.exclude(crew=None)),
    ]


@require_safe
@page
def index(asked: Asked) -> HttpResponseBase:
    return _list(asked, form=MakeForm(asked))


@require_POST
@page
def make(asked: Asked) -> HttpResponseBase:
    form = MakeForm(asked, asked.request.POST)
    if not form.is_valid():
        return _list(asked, form=form, status=422)
    kind, _, pk = form.cleaned_data["whose"].partition(" ")
    purpose = Purpose(f"{kind} feed")
    crew = Crew.objects.get(pk=pk) if purpose is Purpose.CREW_FEED else None
    person = Person.objects.get(pk=pk) if purpose is Purpose.PERSON_FEED else None
    link, token = links.make(purpose=purpose, by=asked.by, now=asked.now, crew=crew, person=person)
    address = settings.PUBLIC_URL + reverse("feed", args=[token])
    made = {"link": link, "address": address, "webcal": f"webcal://{address.partition('://')[2]}"}
    return _list(asked, form=MakeForm(asked), made=made)


@require_POST
@page
def revoke(asked: Asked, link_id: UUID) -> HttpResponseBase:
    link = get_object_or_404(_links(asked), pk=link_id)
    if found := refusals(lambda: links.revoke(link, by=asked.by, now=asked.now)):
        return _list(asked, form=MakeForm(asked), found=found, status=409)
    asked.say("The link is ended: its address shows nothing any more.")
    return redirect("calendars")


def _links(asked: Asked) -> QuerySet[Link]:
    """The calendar links in force that this person may end."""
    found = Link.objects.in_force().filter(purpose__in=links.FEEDS)
    if asked.by.role not in SEES_EVERYTHING:
        crew = Q(crew=asked.by.crew_id, crew__isnull=False)
        found = found.filter(crew | Q(person=asked.by))
    return found.select_related("crew", "person", "made_by")


def _list(asked: Asked, *, status: int = 200, **context: object) -> HttpResponseBase:
    asked.require("feed.make")
    return asked.page("calendars.html", {"links": _links(asked), **context}, status=status)
