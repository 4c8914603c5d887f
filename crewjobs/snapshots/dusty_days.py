"""A crew's day into the dusty work that its visits plan. Reads only; decides nothing."""

import datetime as dt

from crewjobs.domain import dust, hours
from crewjobs.domain.dust import DustyWork
from crewjobs.domain.facts import VisitKind
from crewjobs.models import Crew, Placement
from crewjobs.snapshots.clocks import moment, week_zone
from crewjobs.snapshots.jobs import shop, whole_jobs
from crewjobs.snapshots.outings import visit_facts


def dusty_day(crew: Crew, on: dt.date) -> list[DustyWork]:
    """What all published visits of a crew's day cut and drill on site, as if one person did it."""
    of, zone = shop(), week_zone()
    day = moment(on, 0, zone), moment(on + dt.timedelta(1), 0, zone)
    placed = Placement.objects.filter(
        crew=crew, withdrawn_at__isnull=True, starts_at__gte=day[0], starts_at__lt=day[1]
    ).exclude(visit__kind=VisitKind.TEMPLATE)
    wanted = set(placed.values_list("visit", flat=True))
    minutes = {
        time.name: of.standard_minutes.get(time.name, time.value_min)
        for time in hours.standard_minutes()
    }
    return [
        work
        for row in whole_jobs().filter(visits__in=wanted).distinct().order_by("number")
        for visit in row.visits.all()
        if visit.pk in wanted
        for piece in visit_facts(visit, row, of).work.pieces
        for work in dust.on_site(piece, minutes)
    ]
