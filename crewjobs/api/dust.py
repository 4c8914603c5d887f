"""What one person's shift of cutting asks for: controls, respirator, and the day's average of dust.

A measured exposure and the local rules come first.
"""

from uuid import UUID

from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Number, OneOf, Strict
from crewjobs.domain import dust
from crewjobs.domain.dust import DustyWork, Shift, Task
from crewjobs.domain.facts import DustRules
from crewjobs.models import Crew
from crewjobs.permissions import SEES_EVERYTHING

MOST_TASKS = 20


class DustyIn(Strict):
    task = OneOf(Task)
    minutes_min = Number(min_value=0, max_value=1440)
    is_outdoors = serializers.BooleanField()
    level_ug_m3 = Number(
        required=False, allow_null=True, min_value=0, help_text="Respirable silica, if measured"
    )


class DustyDayIn(Strict):
    """One person's day, all its visits together."""

    rules = OneOf(DustRules, required=False, help_text="Both sets without it")
    tasks = DustyIn(many=True, max_length=MOST_TASKS)  # type: ignore[call-arg]


class ProtectionOut(serializers.Serializer[dust.Protection]):
    task = serializers.CharField(source="work.task")
    is_outdoors = serializers.BooleanField(source="work.is_outdoors")
    minutes_min = serializers.FloatField(source="work.minutes_min")
    controls = serializers.CharField()
    respirator = serializers.CharField(
        allow_null=True, help_text="Null: the table has no row, so assess the exposure"
    )


class DustyDayOut(serializers.Serializer[Shift]):
    rules = serializers.CharField()
    together_min = serializers.FloatField(help_text="All tasks: past 4 hours each counts as long")
    is_long = serializers.BooleanField()
    protections = ProtectionOut(many=True)
    average_ug_m3 = serializers.FloatField(
        allow_null=True, help_text="8 hours; null: a level lacks"
    )
    limit_ug_m3 = serializers.FloatField()
    action_ug_m3 = serializers.FloatField()
    exposure = serializers.CharField(allow_null=True)
    basis = serializers.CharField(help_text="Where the rules are from")
    caution = serializers.CharField(default=dust.CAUTION)


class DustShift(Endpoint):
    @does("shop.read", takes=DustyDayIn, answers=DustyDayOut, many=True)
    def post(self, ask: Ask) -> list[Shift]:
        """What a day's tasks ask for by each set of rules, and where its average lies."""
        sets = [ask.data["rules"]] if "rules" in ask.data else list(DustRules)
        levels = [each.pop("level_ug_m3", None) for each in ask.data["tasks"]]
        work = [DustyWork(**each) for each in ask.data["tasks"]]
        return [dust.shift(work, levels, rules) for rules in sets]


class CrewDust(Endpoint):
    @does("crew.read", answers=DustyDayOut, many=True)
    def get(self, ask: Ask, crew_id: UUID) -> list[Shift]:
        """What the published visits of a crew's day (`on`) cut and drill on site, together."""
        on = Day().run_validation(ask.request.query_params.get("on"))
        seen = Crew.objects.all()
        if ask.by.role not in SEES_EVERYTHING:
            seen = seen.filter(members=ask.by)
        work = snapshots.dusty_day(seen.get(pk=crew_id), on)
        chosen = snapshots.shop().dust_rules
        sets = [DustRules(chosen)] if chosen else list(DustRules)
        return [dust.shift(work, [None] * len(work), rules) for rules in sets]
