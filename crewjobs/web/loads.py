"""A crew's day as its truck carries it: drawn, in the order of loading, and stop by stop."""

import datetime as dt
from functools import partial
from uuid import UUID

from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from crewjobs import snapshots
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.loading import plan, truck_day, without_truck
from crewjobs.models import Crew, Plan, Visit
from crewjobs.permissions import SEES_EVERYTHING
from crewjobs.snapshots import Load
from crewjobs.web import load_parts
from crewjobs.web.drawings import on_page
from crewjobs.web.load_parts import LoadTold, OnTruck
from crewjobs.web.pages import Asked, day_of, page


@require_safe
@page
def show(asked: Asked, crew_id: UUID, day: str) -> HttpResponseBase:
    """The load as it is published; to whoever makes plans, also as a draft would have it."""
    crews = Crew.objects.select_related("truck", "depot")
    if asked.by.role not in SEES_EVERYTHING:
        crews = crews.filter(members=asked.by)
    crew, plan = get_object_or_404(crews, pk=crew_id), _plan(asked)
    told = told_of(asked, snapshots.load(crew, _day(day), plan))
    context = {
        "load": told.load,
        "plan": plan,
        "drawn": on_page(partial(load_parts.drawn, told), asked.shop, "load"),
        "first": list(load_parts.first(told)),
        "rest": list(load_parts.rest(told)),
        "caution": load_parts.CAUTION,
    }
    return asked.page("load.html", context)


def told_of(asked: Asked, load: Load) -> LoadTold:
    """What the parts of a load's page and sheet are made of."""
    number_of = {call.visit.pk: call.number for call in load.calls}
    jobs = snapshots.whole_jobs().filter(visits__in=list(number_of)).distinct()
    return LoadTold(
        shop=asked.shop,
        load=load,
        day=truck_day(load.items, load.frame),
        outings={
            number_of[visit.pk]: snapshots.outing(visit, job, asked.shop)
            for job in jobs
            for visit in job.visits.all()
            if visit.pk in number_of
        },
    )


def on_truck(asked: Asked, visit: Visit) -> OnTruck | None:
    """The load that brings a visit's stone as it is published; None without a time or stone."""
    place = visit.placement
    if place is None or visit.kind == VisitKind.TEMPLATE:
        return None
    load = snapshots.load(place.crew, day_of(place.starts_at, asked.zone))
    found = plan(load.items, load.frame) if load.frame else without_truck(load.items)
    return OnTruck(load, found)


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise Http404 from error


def _plan(asked: Asked) -> Plan | None:
    """The plan that was asked for, if any."""
    named = asked.request.GET.get("plan", "")
    if not named:
        return None
    asked.require("plan.make")
    try:
        return get_object_or_404(Plan, pk=UUID(named))
    except ValueError as error:
        raise Http404 from error
