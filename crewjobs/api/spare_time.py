"""How much to spare plans leave, by the share of days that is to end on time."""

from rest_framework import serializers

from crewjobs.actions import spare_time
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Number, Strict
from crewjobs.domain.scheduling.risk import PlanningShare


class SpareTimeIn(Strict):
    on_time_share = Number(min_value=0, max_value=1, help_text="Of full days, between 0.5 and 0.99")


class SpareTimeOut(serializers.Serializer[PlanningShare]):
    planning_share = serializers.FloatField(
        source="share", help_text="Between P50 and P80: where visits are planned from now on"
    )
    on_time_share = serializers.FloatField(source="wanted_share")
    simulated_share = serializers.FloatField(help_text="Of full days on time, by other draws")
    planned_at_p80_share = serializers.FloatField(help_text="With every visit at its P80")


class SpareTime(Endpoint):
    @does("shop.change", takes=SpareTimeIn, answers=SpareTimeOut)
    def post(self, ask: Ask) -> PlanningShare:
        """Plan from now on so that this share of full days ends on time, as simulated."""
        return spare_time.choose(by=ask.by, now=ask.now, **ask.data)
