"""Windows that can be promised without hurting the plan, for a visit or for work not yet booked."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from rest_framework import serializers

from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Length, Strict
from crewjobs.domain import scheduling
from crewjobs.domain.scheduling.offers import Offer
from crewjobs.models import Skill, Visit
from crewjobs.permissions import visible_visits
from crewjobs.snapshots.offered import MOST_DAYS, crew_names, offered
from crewjobs.snapshots.week import Week

USUAL_DAYS = 7


class OfferIn(Strict):
    """Work that is not booked yet."""

    lat = serializers.FloatField(min_value=-90, max_value=90)
    lon = serializers.FloatField(min_value=-180, max_value=180)
    minutes = serializers.IntegerField(min_value=1, max_value=24 * 60)
    hands = serializers.IntegerField(min_value=1, max_value=20, required=False)
    mass_kg = serializers.FloatField(min_value=0, max_value=20_000, required=False)
    longest_piece_mm = Length(required=False, help_text="Of its stone, for the A-frame")
    skills = serializers.SlugRelatedField(
        slug_field="code", queryset=Skill.objects.all(), many=True, required=False
    )

    def validate_longest_piece_mm(self, value: float) -> float:
        """A length that a piece can have."""
        if value < 0:
            raise serializers.ValidationError("A piece is not shorter than nothing.")
        return value

    days = serializers.IntegerField(min_value=1, max_value=MOST_DAYS, required=False)


class OfferOut(serializers.Serializer[Any]):
    """A window, who would come, and what it adds to the plan."""

    on = serializers.DateField()
    earliest_at = serializers.DateTimeField()
    latest_at = serializers.DateTimeField()
    crew = serializers.UUIDField()
    crew_name = serializers.CharField()
    starts_at = serializers.DateTimeField(help_text="By the plan of now")
    extra_cost = serializers.IntegerField(help_text="In the plan's own unit")
    drive_min = serializers.IntegerField(help_text="More driving")
    overtime_min = serializers.IntegerField(help_text="More after the end of the shift")
    late_cost = serializers.IntegerField()
    is_new_day = serializers.BooleanField(help_text="The crew is sent out for this alone")


class VisitOffers(Endpoint):
    @does("plan.make", answers=OfferOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> list[dict[str, object]]:
        """The windows that can be promised for a visit, the cheapest first."""
        visit = visible_visits(ask.by).get(pk=visit_id)
        try:
            return _out(offered(visit.pk, days=USUAL_DAYS, now=ask.now))
        except KeyError:
            raise Visit.DoesNotExist from None


class Offers(Endpoint):
    @does("plan.make", takes=OfferIn, answers=OfferOut, many=True)
    def post(self, ask: Ask) -> list[dict[str, object]]:
        """The windows that can be promised for work not yet booked, the cheapest first."""
        asked = scheduling.Visit(
            id="asked",
            place=scheduling.Place(at_lat=ask.data["lat"], at_lon=ask.data["lon"]),
            duration_min=ask.data["minutes"],
            hands=ask.data.get("hands", 2),
            mass_kg=ask.data.get("mass_kg", 0.0),
            longest_piece_mm=ask.data.get("longest_piece_mm", 0.0),
            skills=frozenset(skill.code for skill in ask.data.get("skills", ())),
        )
        return _out(offered(asked, days=ask.data.get("days", USUAL_DAYS), now=ask.now))


def _out(found: Iterable[tuple[Offer, Week]]) -> list[dict[str, object]]:
    names = crew_names()
    return [
        {
            "on": offer.window.day,
            "earliest_at": week.moment(offer.window.day, offer.window.earliest_min),
            "latest_at": week.moment(offer.window.day, offer.window.latest_min),
            "crew": offer.crew,
            "crew_name": names[offer.crew],
            "starts_at": week.moment(offer.window.day, offer.start_min),
            "extra_cost": offer.extra_cost,
            "drive_min": offer.drive_min,
            "overtime_min": offer.overtime_min,
            "late_cost": offer.late_cost,
            "is_new_day": offer.is_new_day,
        }
        for offer, week in found
    ]
