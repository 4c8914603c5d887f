"""Work orders from a CSV file: tried without changing anything, or booked, all or none."""

from typing import Any

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from crewjobs.actions import imports
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Strict
from crewjobs.models import Job

LARGEST_FILE = 1_000_000


class FileIn(Strict):
    file = serializers.FileField(help_text="CSV, 1 MB at most")
    is_dry_run = serializers.BooleanField(default=False, help_text="Only say what is wrong")

    def validate_file(self, file: Any) -> bytes:
        """What the file holds."""
        if file.size > LARGEST_FILE:
            raise serializers.ValidationError("1 MB is the most.", code="max_size")
        content: bytes = file.read()
        return content


class CellProblem(serializers.Serializer[Any]):
    row = serializers.IntegerField(help_text="As a spreadsheet counts")
    column = serializers.CharField(allow_blank=True)
    message = serializers.CharField()


class BookedJob(serializers.ModelSerializer[Job]):
    class Meta:
        model = Job
        fields = ["id", "number"]


class ImportOut(serializers.Serializer[Any]):
    orders = serializers.IntegerField(help_text="How many the file holds without a bad cell")
    booked = BookedJob(many=True)
    problems = CellProblem(many=True)
    warnings = CellProblem(many=True, help_text="Of a dry run: days that are over")


class Import(Endpoint):
    parser_classes = [MultiPartParser]

    @does("job.import", takes=FileIn, answers=ImportOut)
    def post(self, ask: Ask) -> dict[str, Any]:
        """Book every order of the file, or none: then each bad cell is listed."""
        data: bytes = ask.data["file"]
        if ask.data["is_dry_run"]:
            found = imports.dry_run(data=data, by=ask.by, now=ask.now)
            told = {"problems": found.problems, "warnings": found.warnings}
            return {"orders": len(found.orders), "booked": [], **told}
        booked = imports.run(data=data, by=ask.by, now=ask.now)
        return {"orders": len(booked), "booked": booked, "problems": [], "warnings": []}
