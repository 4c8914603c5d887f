"""The office: who you are, the shop's ways of counting, standard minutes, rules, the log."""

from collections.abc import Mapping
from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.actions import shops
from crewjobs.api.access import SIGNED_IN
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Length, Number, OneOf, Strict, Zone
from crewjobs.api.jobs import LogLine
from crewjobs.api.paging import NewestLines
from crewjobs.domain import rules
from crewjobs.domain.facts import DustRules, RuleSet
from crewjobs.domain.limits import KNOWN, Known, Mark
from crewjobs.models import AuditEntry, Person, Shop, Units
from crewjobs.permissions import VERBS, may
from crewjobs.snapshots import Standard


class Me(serializers.ModelSerializer[Person]):
    verbs = serializers.SerializerMethodField(help_text="What your role allows")

    class Meta:
        model = Person
        fields = ["id", "name", "email", "phone", "language", "role", "crew", "verbs"]

    def get_verbs(self, person: Person) -> list[str]:
        """What the person's role allows."""
        return sorted(verb for verb in VERBS if may(person, verb))


class ShopOut(serializers.ModelSerializer[Shop]):
    class Meta:
        model = Shop
        fields = [
            "name", "time_zone", "units", "currency", "carrier_kg", "circuity_factor",
            "speed_kmh", "drive_extra_min", "planning_share", "traffic", "capacity_m2",
            "lead_days", "uneven_cost", "break_starts_at", "break_min",
            "rule_set", "dust_rules", "limits", "questions", "reply_to",
        ]  # fmt: skip


@extend_schema_field({"type": "object", "additionalProperties": {"type": "number"}})
class OwnLimits(serializers.Field[Any, Any, Any, Any]):
    """Limits by their codes, in their units; lengths also as text. Null: the usual one again."""

    default_error_messages = {
        "map": "Name each limit by its code, with its value.",
        "unknown": "There is no such limit.",
    }

    def to_internal_value(self, data: Any) -> dict[str, float | None]:
        """The values as numbers."""
        if not isinstance(data, Mapping):
            self.fail("map")
        read, errors = {}, {}
        for code, value in data.items():
            try:
                read[str(code)] = None if value is None else self._number(str(code), value)
            except serializers.ValidationError as error:
                errors[str(code)] = error.detail
        if errors:
            raise serializers.ValidationError(errors)
        return read

    def _number(self, code: str, value: Any) -> float:
        if code not in KNOWN:
            self.fail("unknown")
        field = Length() if KNOWN[code].unit == "mm" else Number()
        number: float = field.run_validation(value)
        return number


class ShopChange(Strict):
    name = serializers.CharField(max_length=120)
    time_zone = Zone(max_length=60)
    units = OneOf(Units)
    currency = serializers.RegexField(r"^[A-Z]{3}$")
    carrier_kg = Number(min_value=1, max_value=200)
    circuity_factor = Number(min_value=1, max_value=5)
    speed_kmh = Number(min_value=1, max_value=130)
    drive_extra_min = Number(min_value=0, max_value=240)
    planning_share = Number(min_value=0, max_value=1)
    traffic = serializers.ListField(
        child=serializers.ListField(
            child=serializers.IntegerField(min_value=0, max_value=1439), min_length=2, max_length=2
        ),
        max_length=48,
        help_text="Speed by the hour: minute of the day and percent of the usual speed from there "
        "on, the first at minute 0; empty: always the usual one",
    )
    capacity_m2 = Number(
        min_value=0.1,
        max_value=10_000,
        allow_null=True,
        help_text="What the shop makes in a working day; null: somebody says when stone is ready",
    )
    lead_days = serializers.IntegerField(
        min_value=0, max_value=100, help_text="Working days from the template to the stone"
    )
    uneven_cost = serializers.IntegerField(
        min_value=0,
        max_value=1_000_000,
        help_text="What a plan pays for crews that work unevenly much; 0: nobody minds",
    )
    break_starts_at = serializers.TimeField()
    break_min = Number(min_value=0, max_value=240)
    rule_set = OneOf(RuleSet, help_text="Whose rules count where publishers disagree")
    dust_rules = serializers.ChoiceField(
        choices=[str(each) for each in DustRules],
        allow_blank=True,
        help_text="Empty: nobody chose, and all are shown",
    )
    limits = OwnLimits(help_text="Only what is named changes; see the limits for all of them")
    questions = serializers.DictField(
        help_text="The shop's own, all of them, by form and code: other words or severity, a "
        "question of its own, or null, which leaves one out"
    )
    reply_to = serializers.EmailField(allow_blank=True)


class LimitOut(serializers.Serializer[Known]):
    """A value that no publisher fixes."""

    code = serializers.CharField()
    part = serializers.CharField()
    words = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.SerializerMethodField("counted", help_text="What counts in this shop")
    usual = serializers.FloatField(source="value", help_text="Unless the shop sets its own")
    within = serializers.ListField(
        child=serializers.FloatField(), help_text="The least and the most that it may be"
    )
    mark = serializers.ChoiceField(choices=[str(each) for each in Mark])
    basis = serializers.CharField(source="source", help_text="Where the usual value is from")

    def counted(self, known: Known) -> float:
        """What counts in this shop."""
        shop: Shop | None = self.context["view"].shop
        own: float = (shop.limits if shop else {}).get(known.code, known.value)
        return own


class StandardChange(serializers.Serializer[Any]):
    """Who changed a standard time when."""

    at = serializers.DateTimeField()
    by = serializers.CharField()
    before_min = serializers.FloatField()
    after_min = serializers.FloatField()


class StandardOut(serializers.Serializer[Standard]):
    name = serializers.CharField(source="time.name")
    element = serializers.CharField(source="time.element")
    value_min = serializers.FloatField(help_text="What counts")
    prior_min = serializers.FloatField(source="time.value_min", help_text="Unless changed")
    note = serializers.CharField(source="time.note")
    basis = serializers.CharField(source="time.source", help_text="Where the prior value is from")
    history = StandardChange(many=True, help_text="The newest change first")


class StandardIn(Strict):
    """The shop's own minutes, all of them; a name left out has its prior value again."""

    minutes = serializers.DictField(child=Number(min_value=0, max_value=9999))


class RuleOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    title = serializers.CharField()


class LogFilter(django_filters.FilterSet):
    verb = django_filters.CharFilter()
    thing_id = django_filters.UUIDFilter()
    job = django_filters.UUIDFilter()
    by = django_filters.UUIDFilter()


class WhoAmI(Endpoint):
    @does(SIGNED_IN, answers=Me)
    def get(self, ask: Ask) -> Person:
        """Who you are and what your role allows."""
        return ask.by


class TheShop(Endpoint):
    @does("shop.read", answers=ShopOut)
    def get(self, _ask: Ask) -> Shop:
        """The shop and its ways of counting."""
        return Shop.objects.get()

    @does("shop.change", takes=ShopChange, answers=ShopOut)
    def patch(self, ask: Ask) -> Shop:
        """Change how the shop counts."""
        return shops.change(changes=ask.data, by=ask.by, now=ask.now)


class ShopLimits(Endpoint):
    @does("shop.read", answers=LimitOut, many=True)
    def get(self, _ask: Ask) -> list[Known]:
        """Every limit that a shop sets its own value of, with its source and mark."""
        return list(KNOWN.values())


class StandardMinutes(Endpoint):
    @does("shop.read", answers=StandardOut, many=True)
    def get(self, _ask: Ask) -> tuple[Standard, ...]:
        """Every standard time of the hours, what counts in this shop, and since when."""
        return snapshots.standards(Shop.objects.get())

    @does("shop.change", takes=StandardIn, answers=StandardOut, many=True)
    def put(self, ask: Ask) -> tuple[Standard, ...]:
        """Change standard times. The hours of visits that have not begun follow soon."""
        changes = {"standard_minutes": ask.data["minutes"]}
        return snapshots.standards(shops.change(changes=changes, by=ask.by, now=ask.now))


class Rules(Endpoint):
    @does("shop.read", answers=RuleOut, many=True)
    def get(self, _ask: Ask) -> list[dict[str, str]]:
        """The checks by name. They rank and warn; none certifies."""
        return [{"code": code, "title": title} for code, title in rules.titles().items()]


class Log(Endpoint):
    filterset_class = LogFilter
    pagination_class = NewestLines

    @does("audit.read", answers=LogLine, many=True, paged=True)
    def get(self, _ask: Ask) -> QuerySet[AuditEntry]:
        """Who did what to which thing, newest first."""
        return AuditEntry.objects.select_related("by")
