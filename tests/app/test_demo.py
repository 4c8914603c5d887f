"""The invented shop: played once for all tests here, and served once."""

import datetime as dt
import io
import json
import re
import urllib.request
from collections import Counter
from random import Random

import icalendar
import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import override_settings

from crewjobs import snapshots
from crewjobs.domain import rules
from crewjobs.domain.facts import Stage
from crewjobs.domain.findings import Severity
from crewjobs.domain.questions import Form
from crewjobs.management import demo_history, demo_shop
from crewjobs.models import (
    AuditEntry,
    Crew,
    Depot,
    FilledForm,
    Hold,
    Inspection,
    Job,
    OutboxMessage,
    Person,
    Piece,
    Placement,
    Plan,
    PlanStatus,
    Remake,
    Role,
    StatusReport,
    Visit,
)
from tests import rows, serving

NOON = dt.datetime(2026, 6, 10, 17, tzinfo=dt.UTC)
"""A Wednesday in the invented place."""


@pytest.fixture(scope="class")
def _played(request, django_db_blocker, tmp_path_factory):
    """Everything up to that noon; gone again after the class."""
    request.getfixturevalue("django_db_setup")
    folder = tmp_path_factory.mktemp("demo")
    mails = {
        "EMAIL_BACKEND": "django.core.mail.backends.filebased.EmailBackend",
        "EMAIL_FILE_PATH": str(folder),
        "PASSWORD_HASHERS": ["django.contrib.auth.hashers.MD5PasswordHasher"],
    }
    with django_db_blocker.unblock(), transaction.atomic():
        with override_settings(**mails):
            demo_history.play(now=NOON, rng=Random(7))
        yield
        transaction.set_rollback(True)


@pytest.fixture
def _demo(_played, db):
    """The shop as it was played."""


@pytest.mark.usefixtures("_demo")
class TestPlayed:
    def test_the_shop_is_whole(self) -> None:
        assert (Crew.objects.count(), Depot.objects.count()) == (3, 2)
        assert set(Person.objects.values_list("role", flat=True)) == set(Role)
        assert 9 <= Person.objects.count() <= 11
        assert 55 <= Job.objects.count() <= 65

    def test_jobs_stand_in_every_stage(self) -> None:
        going = Job.objects.filter(cancelled_at=None)
        assert set(going.values_list("stage", flat=True)) == set(Stage)
        assert Job.objects.exclude(cancelled_at=None).exists()
        assert Hold.objects.filter(released_at=None).count() >= 3
        assert Remake.objects.filter(made_at=None).exists()
        assert Visit.objects.filter(kind="return").exists()

    def test_forms_are_filled_in_and_one_site_was_not_ready(self) -> None:
        filled = FilledForm.objects.all()
        assert set(filled.values_list("form", flat=True)) == set(Form)
        assert not Inspection.objects.filter(answers={}).exists()
        found = [
            (job.number, each.severity)
            for job in snapshots.whole_jobs()
            for each in rules.advise(snapshots.job_facts(job, snapshots.shop()))
            if each.code == "bad_answers" and ": no (" in each.message
        ]
        (held,) = {number for number, severity in found if severity is Severity.STOP}
        visit = Visit.objects.get(job__number=held, kind="install")
        assert visit.reports.filter(kind="no go").exists()

    def test_the_coming_fortnight_is_published(self) -> None:
        plan = Plan.objects.latest("version")
        assert plan.status == PlanStatus.PUBLISHED
        assert (plan.first_on, plan.last_on) == (dt.date(2026, 6, 11), dt.date(2026, 6, 24))
        placed, unplaced = plan.planned.count(), plan.unplaced.count()
        assert placed > 2 * unplaced > 0
        assert all(each.reasons for each in plan.unplaced.all())
        assert len({reason["code"] for each in plan.unplaced.all() for reason in each.reasons}) > 2

    def test_a_crew_is_at_work_today(self) -> None:
        today = Visit.objects.filter(placements__starts_at__date=NOON.date())
        assert today.filter(started_at__isnull=False, progress_share__gt=0).exists()

    def test_nothing_lies_in_the_future_but_the_plan(self) -> None:
        assert not AuditEntry.objects.filter(at__gt=NOON).exists()
        assert not StatusReport.objects.filter(happened_at__gt=NOON).exists()
        assert not OutboxMessage.objects.filter(sent_at__gt=NOON).exists()
        assert Placement.objects.filter(starts_at__gt=NOON).exists()

    def test_everything_was_done_by_somebody(self) -> None:
        verbs = Counter(AuditEntry.objects.values_list("verb", flat=True))
        assert verbs["job.book"] == Job.objects.count()
        assert verbs["visit.report"] == StatusReport.objects.count()
        assert verbs["job.sign_off"] == Job.objects.filter(stage=Stage.SIGNED_OFF).count()
        assert not StatusReport.objects.exclude(flag="").exists()

    def test_its_data_are_invented(self) -> None:
        addresses = [*Person.objects.values_list("email", flat=True)]
        addresses += Job.objects.values_list("customer__email", flat=True)
        assert all(address.endswith(".example") for address in addresses)

    def test_pieces_can_be_made_and_have_their_hours(self) -> None:
        assert Piece.objects.filter(cutouts__kind="cooktop").exists()
        assert Piece.objects.filter(kind="island", supports__isnull=False).exists()
        assert not Visit.objects.filter(p50_min__lte=0, cancelled_at=None).exists()


@pytest.mark.django_db
def test_another_shop_is_left_alone(monkeypatch) -> None:
    monkeypatch.setenv("PUBLIC_URL", "http://localhost:8000")
    rows.shop(name="Somebody's own shop")
    with pytest.raises(CommandError, match="Somebody's own shop is in this database"):
        call_command("demo", "--no-serve", "--fresh", stdout=io.StringIO())
    assert not Job.objects.exists()


def feeds(text: str) -> list[str]:
    return re.findall(r"/cal/\S+\.ics", text)


def test_a_second_start_goes_on_and_serves(tmp_path) -> None:
    first = serving.manage(tmp_path, "demo", "--no-serve")
    assert len(feeds(first)) == 5
    assert demo_shop.PASSWORD in first
    with serving.served(tmp_path, "demo") as server:
        said = server.log.read_text()
        assert "Going on with the shop" in said
        assert feeds(said) == feeds(first)
        assert f"http://localhost:{server.port}/cal/" in said
        shop = icalendar.Calendar.from_ical(server.get(feeds(said)[0]).read())
        assert len(shop.walk("VEVENT")) > 20
        who = {"name": "x", "email": "iva.marsh@alderbay.example", "password": demo_shop.PASSWORD}
        asked = urllib.request.Request(  # noqa: S310 (http, ours)
            f"{server.url}/api/v1/tokens/",
            json.dumps(who).encode(),
            {"Content-Type": "application/json"},
        )
        assert urllib.request.urlopen(asked, timeout=20).status == 201  # noqa: S310
