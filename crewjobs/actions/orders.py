"""What a work order says, before it is a job."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from crewjobs.domain import facts
from crewjobs.domain.facts import HoldReason, VisitKind
from crewjobs.models import HoursKind, Priority


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerEntry:
    """Who ordered, and by which channel they agreed to be told."""

    name: str
    email: str = ""
    phone: str = ""
    language: str = "en"
    takes_email: bool = True
    takes_texts: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class ContactEntry:
    """Somebody to talk to at the site."""

    name: str
    part: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class HoursEntry:
    """When the building lets a crew in: on a weekday (0 is Monday), or on one day."""

    kind: HoursKind
    starts_at: dt.time
    ends_at: dt.time
    weekday: int | None = None
    on: dt.date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class SiteEntry:
    """Where the stone goes. Without a time zone of its own the shop's counts."""

    street: str
    town: str
    lat: float
    lon: float
    region: str = ""
    postal_code: str = ""
    time_zone: str = ""
    access_note: str = ""
    contacts: tuple[ContactEntry, ...] = ()
    hours: tuple[HoursEntry, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Finish:
    """What a piece is made of and how its edge is worked."""

    material: str = ""
    edge_finish: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class WindowEntry:
    """When the customer lets the crew begin, on one day, in the site's time zone."""

    on: dt.date
    starts_at: dt.time
    ends_at: dt.time


@dataclass(frozen=True, kw_only=True, slots=True)
class VisitEntry:
    """One visit that the order asks for. Hands left out are counted from the pieces."""

    kind: VisitKind
    windows: tuple[WindowEntry, ...] = ()
    skills: tuple[str, ...] = ()
    hands: int | None = None
    earliest_on: dt.date | None = None
    due_on: dt.date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkOrder:
    """A whole job. Without a number the shop's next one is taken.

    Without visits, there is an install visit, and a template visit before it where no sizes came.
    """

    customer: CustomerEntry
    site: SiteEntry
    work: facts.Work = field(default_factory=facts.Work)
    finishes: Mapping[str, Finish] = field(default_factory=dict)
    visits: tuple[VisitEntry, ...] = ()
    number: str = ""
    title: str = ""
    priority: Priority = Priority.USUAL
    due_on: dt.date | None = None
    stone_ready_on: dt.date | None = None
    holds: tuple[HoldReason, ...] = ()
    balance_cents: int = 0
    note: str = ""
