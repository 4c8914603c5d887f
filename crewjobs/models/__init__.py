"""The tables: one noun a file, with the constraints that must always hold."""

from crewjobs.models.audit import AuditEntry
from crewjobs.models.crews import Crew, DayOff, Shift, Skill
from crewjobs.models.customers import Customer
from crewjobs.models.depots import Depot
from crewjobs.models.hours import HoursModel, Learned
from crewjobs.models.inspections import FilledForm, Inspection, Override
from crewjobs.models.jobs import Hold, Job, Priority, TradeWork
from crewjobs.models.links import Link, Purpose
from crewjobs.models.outbox import (
    Channel,
    Heartbeat,
    OutboxAttempt,
    OutboxMessage,
    OutboxStatus,
)
from crewjobs.models.people import ApiToken, Person, Role
from crewjobs.models.pieces import Cutout, Piece, Remake, RemakeReason, Seam, Support
from crewjobs.models.plans import (
    Making,
    Plan,
    PlannedVisit,
    PlanPart,
    PlanStatus,
    UnplacedVisit,
)
from crewjobs.models.reports import Photo, PhotoKind, StatusReport
from crewjobs.models.routes import RouteElement, SearchedLimit
from crewjobs.models.shops import Shop, Units
from crewjobs.models.signoffs import OpenItem, SigningWay, SignOff
from crewjobs.models.sites import Contact, HoursKind, Site, SiteHours
from crewjobs.models.trucks import Truck
from crewjobs.models.visits import Placement, Visit, VisitWindow

__all__ = [
    "ApiToken", "AuditEntry", "Channel", "Contact", "Crew", "Customer", "Cutout", "DayOff",
    "Depot", "FilledForm", "Heartbeat", "Hold", "HoursKind", "HoursModel", "Inspection", "Job",
    "Learned", "Link", "Making", "OpenItem", "OutboxAttempt", "OutboxMessage", "OutboxStatus",
    "Override", "Person", "Photo", "PhotoKind", "Piece", "Placement", "Plan", "PlanPart",
    "PlanStatus", "PlannedVisit", "Priority", "Purpose", "Remake", "RemakeReason", "Role",
    "RouteElement", "Seam", "SearchedLimit", "Shift", "Shop", "SignOff", "SigningWay", "Site",
    "SiteHours", "Skill", "StatusReport", "Support", "TradeWork", "Truck", "Units",
    "UnplacedVisit", "Visit", "VisitWindow",
]  # fmt: skip
