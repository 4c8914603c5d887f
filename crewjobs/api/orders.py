"""The shape of a work order: a whole job in one body."""

from typing import Any

from rest_framework import serializers

from crewjobs.actions.orders import (
    ContactEntry,
    CustomerEntry,
    HoursEntry,
    SiteEntry,
    VisitEntry,
    WindowEntry,
    WorkOrder,
)
from crewjobs.api.fields import Day, Fact, Number, OneOf, Zone, several
from crewjobs.api.stone import RouteIn, Stone, StoneIn
from crewjobs.domain.facts import HoldReason, VisitKind
from crewjobs.models import HoursKind, Priority

MOST_CENTS = 2_000_000_000
STONE = frozenset(StoneIn().fields) | {"route"}


class CustomerIn(Fact):
    makes = CustomerEntry

    name = serializers.CharField(max_length=120)
    email = serializers.EmailField(required=False, allow_blank=True)
    phone = serializers.CharField(required=False, allow_blank=True, max_length=40)
    language = serializers.CharField(required=False, max_length=10)
    takes_email = serializers.BooleanField(required=False)
    takes_texts = serializers.BooleanField(
        required=False, help_text="Only where the customer agreed to text messages"
    )


class ContactIn(Fact):
    makes = ContactEntry

    name = serializers.CharField(max_length=120)
    part = serializers.CharField(required=False, allow_blank=True, max_length=80)
    phone = serializers.CharField(required=False, allow_blank=True, max_length=40)
    email = serializers.EmailField(required=False, allow_blank=True)


class HoursIn(Fact):
    """Hours on every such weekday (0 is Monday), or on one day."""

    makes = HoursEntry

    kind = OneOf(HoursKind)
    weekday = serializers.IntegerField(required=False, min_value=0, max_value=6, allow_null=True)
    on = Day(required=False, allow_null=True)
    starts_at = serializers.TimeField()
    ends_at = serializers.TimeField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The hours, if they are of one kind and end after they start."""
        if (attrs.get("weekday") is None) == (attrs.get("on") is None):
            raise serializers.ValidationError({"weekday": ["Give a weekday, or one day."]})
        if attrs["ends_at"] <= attrs["starts_at"]:
            raise serializers.ValidationError({"ends_at": ["Must be after the start."]})
        return super().validate(attrs)


class SiteIn(Fact):
    street = serializers.CharField(max_length=200)
    town = serializers.CharField(max_length=120)
    region = serializers.CharField(required=False, allow_blank=True, max_length=120)
    postal_code = serializers.CharField(required=False, allow_blank=True, max_length=20)
    lat = Number(min_value=-90, max_value=90)
    lon = Number(min_value=-180, max_value=180)
    time_zone = Zone(required=False, allow_blank=True, max_length=60)
    access_note = serializers.CharField(required=False, allow_blank=True, max_length=4000)
    contacts = several(ContactIn, most=20)
    hours = several(HoursIn, most=60)

    def validate(self, attrs: dict[str, Any]) -> SiteEntry:
        """The site with its contacts and hours."""
        return SiteEntry(
            **attrs
            | {"contacts": tuple(attrs.get("contacts", ())), "hours": tuple(attrs.get("hours", ()))}
        )


class WindowIn(Fact):
    makes = WindowEntry

    on = Day()
    starts_at = serializers.TimeField()
    ends_at = serializers.TimeField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The window, if it ends after it starts."""
        if attrs["ends_at"] <= attrs["starts_at"]:
            raise serializers.ValidationError({"ends_at": ["Must be after the start."]})
        return super().validate(attrs)


class VisitIn(Fact):
    kind = OneOf(VisitKind)
    windows = several(WindowIn, most=60)
    skills = serializers.ListField(
        child=serializers.SlugField(max_length=40), required=False, max_length=20
    )
    hands = serializers.IntegerField(required=False, min_value=1, max_value=12, allow_null=True)
    earliest_on = Day(required=False, allow_null=True)
    due_on = Day(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The visit."""
        return VisitEntry(
            **attrs
            | {"windows": tuple(attrs.get("windows", ())), "skills": tuple(attrs.get("skills", ()))}
        )


class WorkOrderIn(StoneIn):
    """A job with its customer, site, stone, way in, visits and holds: all of it or nothing.

    Without visits there is an install visit, and a template visit before it where no pieces came.
    """

    number = serializers.CharField(required=False, allow_blank=True, max_length=40)
    title = serializers.CharField(required=False, allow_blank=True, max_length=160)
    customer = CustomerIn()
    site = SiteIn()
    priority = OneOf(Priority, required=False)
    due_on = Day(required=False, allow_null=True)
    stone_ready_on = Day(required=False, allow_null=True)
    balance_cents = serializers.IntegerField(required=False, min_value=0, max_value=MOST_CENTS)
    note = serializers.CharField(required=False, allow_blank=True, max_length=4000)
    route = several(RouteIn, most=60)
    visits = several(VisitIn, most=20)
    holds = serializers.ListField(child=OneOf(HoldReason), required=False, max_length=10)

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The work order."""
        stone: Stone = super().validate({n: v for n, v in attrs.items() if n in STONE})
        rest = {n: v for n, v in attrs.items() if n not in STONE}
        lists: dict[str, Any] = {n: tuple(rest.pop(n, ())) for n in ("visits", "holds")}
        lists["holds"] = tuple(dict.fromkeys(lists["holds"]))
        return WorkOrder(work=stone.work, finishes=stone.finishes, **lists, **rest)
