"""Who may do what. A verb that is not in the table may be done by nobody.

Office people see every job. Crews and templaters see the visits that are published to their crew
and the jobs of those.
"""

from django.db.models import Q, QuerySet

from crewjobs.models import Job, Person, Placement, Role, StatusReport, Visit

OFFICE = frozenset({Role.DISPATCHER})
TEMPLATE = frozenset({Role.DISPATCHER, Role.TEMPLATER})
LEADS = frozenset({Role.DISPATCHER, Role.CREW_LEAD})
SITE = frozenset({Role.DISPATCHER, Role.CREW_LEAD, Role.CREW_MEMBER, Role.TEMPLATER})
EVERYONE = frozenset(Role)
SEES_EVERYTHING = frozenset({Role.DISPATCHER, Role.READER})

VERBS: dict[str, frozenset[Role]] = {
    "shop.read": EVERYONE,
    "shop.change": OFFICE,
    "people.read": EVERYONE,
    "people.change": OFFICE,
    "crew.read": EVERYONE,
    "crew.change": OFFICE,
    "job.read": EVERYONE,
    "job.book": OFFICE,
    "job.change": OFFICE,
    "job.advance": OFFICE,
    "job.hold": OFFICE,
    "job.cancel": OFFICE,
    "job.import": OFFICE,
    "stone.change": TEMPLATE,
    "route.change": TEMPLATE,
    "piece.inspect": LEADS,
    "piece.remake": LEADS,
    "visit.read": EVERYONE,
    "visit.change": OFFICE,
    "visit.override": OFFICE,
    "visit.report": SITE,
    "report.withdraw": SITE,
    "hours.read": SEES_EVERYTHING,
    "hours.judge": OFFICE,
    "plan.read": EVERYONE,
    "plan.make": OFFICE,
    "plan.publish": OFFICE,
    "item.change": SITE,
    "job.sign_off": LEADS,
    "feed.make": EVERYONE,
    "outbox.read": OFFICE,
    "outbox.change": OFFICE,
    "audit.read": OFFICE,
}


def may(person: Person, verb: str) -> bool:
    """Whether this person's role allows the verb at all.

    Whether they may see the thing itself is asked by :func:`visible_jobs` and
    :func:`visible_visits`.
    """
    return person.is_active and person.role in VERBS.get(verb, frozenset())


def visible_jobs(person: Person) -> QuerySet[Job]:
    """The jobs that this person may see."""
    if person.role in SEES_EVERYTHING:
        return Job.objects.all()
    return Job.objects.filter(pk__in=visible_visits(person).values("job"))


def visible_visits(person: Person) -> QuerySet[Visit]:
    """The visits that this person may see: their crew's, and any that they reported on."""
    if person.role in SEES_EVERYTHING:
        return Visit.objects.all()
    if person.crew_id is None:
        return Visit.objects.none()
    placed = Placement.objects.filter(crew=person.crew_id, withdrawn_at__isnull=True)
    reported = StatusReport.objects.filter(person=person)
    return Visit.objects.filter(
        Q(pk__in=placed.values("visit")) | Q(pk__in=reported.values("visit"))
    )


def reportable_visits(person: Person) -> QuerySet[Visit]:
    """Those that they see, and those that the office has since taken from their crew.

    A phone that had no reception must not lose what its crew did.
    """
    once = Placement.objects.filter(crew=person.crew_id)
    return visible_visits(person) | Visit.objects.filter(pk__in=once.values("visit"))
