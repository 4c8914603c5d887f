"""A job's stone and way in, taken over whole; its hours; inspections and remakes of its pieces."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs.actions import inspections, remakes, stone
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Length, Moment, OneOf, Strict
from crewjobs.api.forms import Answers
from crewjobs.api.jobs import JobOut, whole
from crewjobs.api.stone import MOST_PIECES, PieceIn, PieceOut, RouteIn, RouteOut, StoneIn
from crewjobs.api.visits import HoursLine
from crewjobs.models import Inspection, Person, Piece, Remake, RemakeReason, RouteElement, Visit
from crewjobs.permissions import visible_jobs

MOST_MEASUREMENTS = 50


class InspectionIn(Strict):
    passed = serializers.BooleanField(
        required=False, help_text="Left out: as the answers say; they cannot pass what they stop"
    )
    note = serializers.CharField(required=False, allow_blank=True, max_length=400)
    measurements = serializers.DictField(
        child=Length(), required=False, help_text="Name to length, as far as somebody measured"
    )

    answers = Answers(required=False, help_text="To the questions of the inspection form, by code")
    client_id = serializers.UUIDField(required=False, help_text="With answers, made by the phone")
    filled_at = Moment(required=False, help_text="With answers, by the phone's own clock")

    def validate_measurements(self, given: dict[str, float]) -> dict[str, float]:
        """The measurements, each under a name that can be written down."""
        if len(given) > MOST_MEASUREMENTS:
            raise serializers.ValidationError(f"{MOST_MEASUREMENTS} are the most.")
        name = serializers.CharField(max_length=60)
        return {name.run_validation(key): value for key, value in given.items()}


class InspectionOut(serializers.ModelSerializer[Inspection]):
    class Meta:
        model = Inspection
        fields = ["id", "piece", "by", "created_at", "passed", "note", "measurements", "answers"]


class SizesIn(StoneIn):
    """Everything that is known of the stone now; what is left out is not there any more."""

    pieces = PieceIn(many=True, max_length=MOST_PIECES)  # type: ignore[call-arg]


class RemakeIn(Strict):
    reason = OneOf(RemakeReason)
    ready_on = Day()
    note = serializers.CharField(required=False, allow_blank=True, max_length=400)


class RemakeOut(serializers.ModelSerializer[Remake]):
    class Meta:
        model = Remake
        fields = [
            "id",
            "piece",
            "reason",
            "note",
            "ordered_by",
            "created_at",
            "ready_on",
            "made_at",
        ]


class VisitHours(serializers.ModelSerializer[Visit]):
    """The expected hours of one visit; the lines add up to the P50."""

    hours_lines = HoursLine(many=True)

    class Meta:
        model = Visit
        fields = ["id", "kind", "hands", "p50_min", "p80_min", "p90_min", "hours_lines"]


class JobPieces(Endpoint):
    @does("job.read", answers=PieceOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[Piece]:
        """The pieces of the job."""
        job = visible_jobs(ask.by).get(pk=job_id)
        return job.pieces.prefetch_related("cutouts", "supports")

    @does("stone.change", takes=SizesIn, answers=JobOut)
    def put(self, ask: Ask, job_id: UUID) -> Any:
        """Take over new sizes, whole; the hours are counted anew."""
        stone.replace(
            job_id=job_id, work=ask.data.work, finishes=ask.data.finishes, by=ask.by, now=ask.now
        )
        return whole(ask.by, job_id)


class JobRoute(Endpoint):
    @does("job.read", answers=RouteOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[RouteElement]:
        """The way in, from the truck to the cabinets."""
        return visible_jobs(ask.by).get(pk=job_id).route.all()

    @does("route.change", takes=RouteIn, takes_many=True, answers=RouteOut, many=True)
    def put(self, ask: Ask, job_id: UUID) -> QuerySet[RouteElement]:
        """Take over a new way in, whole."""
        job = stone.replace_route(job_id=job_id, route=ask.data, by=ask.by, now=ask.now)
        return job.route.all()


class JobHours(Endpoint):
    @does("job.read", answers=VisitHours, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[Visit]:
        """The expected hours of each visit, and what they are made of."""
        return visible_jobs(ask.by).get(pk=job_id).visits.filter(cancelled_at__isnull=True)


class Inspections(Endpoint):
    @does("job.read", answers=InspectionOut, many=True)
    def get(self, ask: Ask, piece_id: UUID) -> QuerySet[Inspection]:
        """The inspections of a piece, newest first."""
        return _piece(ask.by, piece_id).inspections.all()

    @does("piece.inspect", takes=InspectionIn, answers=InspectionOut, status=201)
    def post(self, ask: Ask, piece_id: UUID) -> Inspection:
        """Say whether the piece passed, or answer the questions of the form: then they say it."""
        return inspections.record(piece_id=piece_id, by=ask.by, now=ask.now, **ask.data)


class Remakes(Endpoint):
    @does("job.read", answers=RemakeOut, many=True)
    def get(self, ask: Ask, piece_id: UUID) -> QuerySet[Remake]:
        """How often and why the piece was made again."""
        return _piece(ask.by, piece_id).remakes.all()

    @does("piece.remake", takes=RemakeIn, answers=RemakeOut, status=201)
    def post(self, ask: Ask, piece_id: UUID) -> Remake:
        """Have the piece made again; once a crew has been there, a return visit is added."""
        return remakes.order(piece_id=piece_id, by=ask.by, now=ask.now, **ask.data)


class RemakeMade(Endpoint):
    @does("piece.remake", answers=RemakeOut)
    def post(self, ask: Ask, remake_id: UUID) -> Remake:
        """The piece is there again; it is to be inspected like any other."""
        return remakes.made(remake_id=remake_id, by=ask.by, now=ask.now)


def _piece(by: Person, piece_id: UUID) -> Piece:
    return Piece.objects.get(pk=piece_id, job__in=visible_jobs(by))
