"""What comes from the site: status reports, sent once or again, alone or gathered; photos."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import FileResponse, HttpResponseBase
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from crewjobs.actions import photos, reports, withdrawals
from crewjobs.actions.reports import Outcome
from crewjobs.api import errors
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Moment, OneOf, Strict
from crewjobs.api.schema import Problem
from crewjobs.domain.facts import ReportKind
from crewjobs.models import Photo, PhotoKind, StatusReport, Visit
from crewjobs.permissions import visible_visits

LARGEST_PHOTO = 15_000_000
MOST_REPORTS = 100


class ReportIn(Strict):
    """One report. The same `client_id` again is the same report, and changes nothing."""

    client_id = serializers.UUIDField(help_text="Made by the phone")
    kind = OneOf(ReportKind)
    happened_at = Moment(help_text="By the phone's own clock")
    about = serializers.CharField(
        required=False, allow_blank=True, max_length=60, help_text="Name of a piece or seam"
    )
    note = serializers.CharField(required=False, allow_blank=True, max_length=4000)


class ReportOfVisitIn(ReportIn):
    visit = serializers.UUIDField()


class ReportOut(serializers.ModelSerializer[StatusReport]):
    about = serializers.SerializerMethodField(help_text="Name of the piece or seam")

    class Meta:
        model = StatusReport
        fields = [
            "id", "client_id", "visit", "person", "kind", "happened_at", "created_at", "about",
            "note", "flag", "withdrawn_at", "withdrawn_by", "withdrawn_reason",
        ]  # fmt: skip

    def get_about(self, report: StatusReport) -> str:
        """The name of the piece or seam."""
        return getattr(report.piece or report.seam, "name", "")


class OutcomeOut(serializers.Serializer[Outcome]):
    """What became of one report: it is kept, or the problem says why not."""

    client_id = serializers.UUIDField()
    report = ReportOut(allow_null=True)
    problem = serializers.SerializerMethodField()

    @extend_schema_field(Problem(allow_null=True))
    def get_problem(self, outcome: Outcome) -> Any:
        """Why it was not kept."""
        answer = errors.problem(outcome.error, {}) if outcome.error else None
        return answer.data if answer else None


class PhotoIn(Strict):
    client_id = serializers.UUIDField()
    kind = OneOf(PhotoKind)
    taken_at = Moment()
    note = serializers.CharField(required=False, allow_blank=True, max_length=400)
    file = serializers.FileField(help_text="JPEG, PNG or WebP, 15 MB at most")

    def validate_file(self, file: Any) -> Any:
        """The file, if it is not too large."""
        if file.size > LARGEST_PHOTO:
            raise serializers.ValidationError("15 MB is the most.", code="max_size")
        return file


class PhotoOut(serializers.ModelSerializer[Photo]):
    class Meta:
        model = Photo
        fields = [
            "id", "client_id", "visit", "person", "kind", "taken_at", "created_at", "sha256",
            "width_px", "height_px", "note",
        ]  # fmt: skip


class VisitReports(Endpoint):
    @does("visit.read", answers=ReportOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> QuerySet[StatusReport]:
        """The reports of a visit, in the order in which things happened."""
        visit = _visit(ask, visit_id)
        return visit.reports.select_related("piece", "seam")

    @does("visit.report", takes=ReportIn, takes_many=True, answers=OutcomeOut, answers_alike=True)
    def post(self, ask: Ask, visit_id: UUID) -> list[Outcome]:
        """Send one report, or a list of what was gathered without reception."""
        if isinstance(ask.request.data, list):
            return _kept(ask, [{"visit_id": visit_id, **each} for each in ask.data])
        told = ask.data[0]
        report = reports.add(visit_id=visit_id, by=ask.by, now=ask.now, **told)
        return [Outcome(client_id=told["client_id"], report=report)]


class Reports(Endpoint):
    @does(
        "visit.report", takes=ReportOfVisitIn, takes_many=True, answers=OutcomeOut,
        answers_alike=True,
    )  # fmt: skip
    def post(self, ask: Ask) -> list[Outcome]:
        """Send what a phone has gathered for several visits; each report has its own outcome."""
        return _kept(ask, [{"visit_id": each.pop("visit"), **each} for each in ask.data])


class WithdrawIn(Strict):
    reason = serializers.CharField(max_length=withdrawals.LONGEST)


class ReportWithdraw(Endpoint):
    @does("report.withdraw", takes=WithdrawIn, answers=ReportOut)
    def post(self, ask: Ask, report_id: UUID) -> StatusReport:
        """Withdraw a report of your own, or any for the office; twice is once."""
        return withdrawals.withdraw(report_id=report_id, by=ask.by, now=ask.now, **ask.data)


class VisitPhotos(Endpoint):
    parser_classes = [MultiPartParser]

    @does("visit.read", answers=PhotoOut, many=True)
    def get(self, ask: Ask, visit_id: UUID) -> QuerySet[Photo]:
        """The photos of a visit."""
        return _visit(ask, visit_id).photos.all()

    @does("visit.report", takes=PhotoIn, answers=PhotoOut, status=201)
    def post(self, ask: Ask, visit_id: UUID) -> Photo:
        """Send a photo; the same `client_id` again is the same photo."""
        shot = dict(ask.data)
        content = shot.pop("file").read()
        return photos.add(visit_id=visit_id, content=content, by=ask.by, now=ask.now, **shot)


class PhotoFile(Endpoint):
    @does("visit.read", media_type="image/jpeg")
    def get(self, ask: Ask, photo_id: UUID) -> HttpResponseBase:
        """The picture itself."""
        photo = Photo.objects.get(pk=photo_id, visit__in=visible_visits(ask.by))
        return FileResponse(photo.file.open(), content_type="image/jpeg")


def _kept(ask: Ask, sent: list[Any]) -> list[Outcome]:
    if len(sent) > MOST_REPORTS:
        raise serializers.ValidationError(f"{MOST_REPORTS} reports at once are the most.")
    return list(reports.add_many(by=ask.by, now=ask.now, reports=sent))


def _visit(ask: Ask, visit_id: UUID) -> Visit:
    return visible_visits(ask.by).get(pk=visit_id)
