"""When adhesive and silicone of a job have cured, so when licensed trades may come."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from crewjobs import snapshots
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.domain.curing import CAUTION
from crewjobs.permissions import visible_jobs


class CuringOut(serializers.Serializer[Any]):
    """All moments are null until a visit has a published place, or has been there."""

    adhesive_at = serializers.DateTimeField(
        allow_null=True, help_text="Seams are hard and sinks may be loaded; null: there are none"
    )
    silicone_at = serializers.DateTimeField(allow_null=True)
    earliest_at = serializers.DateTimeField(
        allow_null=True, help_text="Not before this may a licensed trade connect"
    )
    is_foretold = serializers.BooleanField(
        help_text="A visit is still to come or not over: its reports will tell it better"
    )
    caution = serializers.CharField()


class JobCuring(Endpoint):
    @does("job.read", answers=CuringOut)
    def get(self, ask: Ask, job_id: UUID) -> dict[str, Any]:
        """When a licensed trade may connect at the earliest: from the reports, else foretold."""
        visible_jobs(ask.by).only("pk").get(pk=job_id)
        found = snapshots.cured(snapshots.whole_jobs().get(pk=job_id), snapshots.shop())
        names = ("adhesive_at", "silicone_at", "earliest_at")
        return {name: getattr(found, name, None) for name in names} | {
            "is_foretold": found is None or found.is_foretold,
            "caution": CAUTION,
        }
