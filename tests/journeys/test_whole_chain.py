"""From a file of work orders to two signatures, through HTTP alone.

The office, the templater and the crew's lead each hold their own token; a calendar and a text
gateway stand outside. Only the worker is called by name, at the hours at which it would wake up.
It is noon at the shop whenever this runs, so that no night and no midnight comes between.
"""

import csv
import io
import json
from collections import Counter
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

import icalendar
import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client

from crewjobs.actions import outbox
from tests.app.test_channels import SECRET, Gateway, serving

NOW = datetime.now(UTC)
AHEAD_H = 12 - NOW.hour
ZONE = f"Etc/GMT{-AHEAD_H:+d}"
"""Where it is noon now. These names count the other way round."""
TODAY = (NOW + timedelta(hours=AHEAD_H)).date()
FIRST_ON, LAST_ON = TODAY + timedelta(3), TODAY + timedelta(9)
PASSWORD = "a quartz counter top"
PLACE = {"street": "1 Quarry Road", "town": "Alder Bay", "lat": 44.95, "lon": -91.9}

ORDERS: list[dict[str, object]] = [
    {
        "number": "W-1", "customer": "Mara Linden", "email": "mara@example.test", "texts": "yes",
        "phone": "+1 555 0142", "street": "12 Harbor Lane", "town": "Alder Bay", "lat": 44.96,
        "lon": -91.88, "due_on": LAST_ON, "stone_ready_on": TODAY,
    },
    {
        "number": "W-2", "customer": "Bruno Tallis", "email": "bruno@example.test",
        "street": "3 Lantern Court", "town": "Alder Bay", "lat": 44.94, "lon": -91.9,
        "due_on": LAST_ON, "stone_ready_on": TODAY, "flights": 1, "piece": "A", "depth": "25 1/2",
        "length": "8' 2 1/2\"", "sink": "undermount", "sink_size": "30 x 16 1/2",
    },
    {"number": "W-2", "piece": "B", "length": "1900 mm", "depth": "650 mm", "seam_with": "A"},
]  # fmt: skip
SIZES = {
    "pieces": [
        {
            "name": "A", "length_mm": "7' 6\"", "depth_mm": "25.5 in", "thickness_mm": 30,
            "material": "grey granite", "density_kg_m3": 2700,
            "cutouts": [
                {"kind": "undermount sink", "x_mm": 1100, "y_mm": 310, "width_mm": 760,
                 "height_mm": 420}
            ],
        },
        {"name": "B", "length_mm": 1800, "depth_mm": 648, "thickness_mm": 30},
    ],
    "seams": [{"name": "A-B", "first": "A", "second": "B", "length_mm": 648}],
    "cabinet_run_mm": "13 ft",
}  # fmt: skip
DAY = (
    ("on the way", "", 50), ("arrived", "", 45), ("walk-through done", "", 43),
    ("piece set", "A", 35), ("piece set", "B", 30), ("seam poured", "A-B", 25),
    ("sink set", "A", 20), ("silicone done", "", 12), ("cleaned", "", 8), ("reviewed", "", 5),
    ("left", "", 2),
)  # fmt: skip
"""A crew's reports, and how many minutes ago each happened."""


class Person:
    """Somebody with a token, who says which answer they expect."""

    def __init__(self, email: str = "", password: str = PASSWORD) -> None:
        self.client = Client()
        if email:
            who = {"name": "journey", "email": email, "password": password}
            token = self.post("tokens/", who)["token"]
            self.client = Client(headers={"Authorization": f"Bearer {token}"})

    def ask(self, method: str, path: str, body: object, status: int) -> Any:
        content = b"" if body is None else json.dumps(body, default=str).encode()
        answer = self.client.generic(
            method, f"/api/v1/{path}", content, content_type="application/json"
        )
        assert answer.status_code == status, answer.content.decode()
        return answer.json() if answer.content else None

    def get(self, path: str, status: int = 200) -> Any:
        return self.ask("GET", path, None, status)

    def post(self, path: str, body: object = None, status: int = 201) -> Any:
        return self.ask("POST", path, body or {}, status)

    def put(self, path: str, body: object) -> Any:
        return self.ask("PUT", path, body, 200)

    def upload(self, *orders: dict[str, object], is_dry_run: bool, status: int = 200) -> Any:
        """Send a file of work orders."""
        names = list(dict.fromkeys(name for order in orders for name in order))
        out = io.StringIO()
        writer = csv.DictWriter(out, names, restval="")
        writer.writeheader()
        writer.writerows(orders)
        file = SimpleUploadedFile("orders.csv", out.getvalue().encode())
        answer = self.client.post("/api/v1/jobs/import/", {"file": file, "is_dry_run": is_dry_run})
        assert answer.status_code == status, answer.content.decode()
        return answer.json()

    def job(self, number: str) -> Any:
        (row,) = self.get(f"jobs/?text={number}")["results"]
        return self.get(f"jobs/{row['id']}/")


class Reader:
    """A calendar that subscribed to a feed."""

    def __init__(self, url: str) -> None:
        self.path = "/" + url.split("/", 3)[3]
        self.etag = ""

    def read(self) -> dict[str, Any] | None:
        """The events by their UID; None where nothing has changed since the last time."""
        answer = Client().get(self.path, headers={"If-None-Match": self.etag})
        self.etag = answer["ETag"]
        if answer.status_code == 304:
            return None
        assert answer.status_code == 200
        parsed = icalendar.Calendar.from_ical(answer.content)
        return {str(event["UID"]): event for event in parsed.walk("VEVENT")}


def visit(job: Any, kind: str) -> Any:
    (found,) = [each for each in job["visits"] if each["kind"] == kind]
    return found


def found_shop(monkeypatch) -> Person:
    """The office, its yard and two crews that work every day."""
    monkeypatch.setenv("FIRST_PASSWORD", PASSWORD)
    call_command(
        "first_person", "--shop=Alder Bay Stone", f"--time-zone={ZONE}", "--name=Dana Office",
        "--email=dana@example.test", stdout=io.StringIO(),
    )  # fmt: skip
    office = Person("dana@example.test")
    depot = office.post("depots/", {"name": "North yard", "time_zone": ZONE, **PLACE})
    frame = {"frame_length_mm": "3 m", "frame_height_mm": 1600, "frame_thickness_mm": 400}
    truck = {"name": "Truck 1", "depot": depot["id"], "payload_kg": 1800, **frame}
    truck = office.post("trucks/", truck)
    shifts = [{"weekday": day, "starts_at": "08:00", "ends_at": "17:00"} for day in range(7)]
    ash = {"name": "Crew Ash", "depot": depot["id"], "truck": truck["id"], "shifts": shifts}
    cedar = {"name": "Crew Cedar", "depot": depot["id"], "shifts": shifts}
    crews = {each["name"]: office.post("crews/", each)["id"] for each in (ash, cedar)}
    for name, role, crew, skill in (
        ("lena", "crew lead", "Crew Ash", "install"),
        ("milo", "crew member", "Crew Ash", "install"),
        ("rafe", "crew member", "Crew Ash", "install"),
        ("tess", "templater", "Crew Cedar", "template"),
    ):
        office.post(
            "people/",
            {"name": name, "email": f"{name}@example.test", "password": PASSWORD, "role": role,
             "crew": crews[crew], "skills": [skill]},
        )  # fmt: skip
    return office


def import_orders(office: Person) -> None:
    bad = [ORDERS[0] | {"lat": "north"}, ORDERS[1], ORDERS[2] | {"length": "long"}]
    listed = office.upload(*bad, is_dry_run=True)["problems"]
    assert [(each["row"], each["column"]) for each in listed] == [(2, "lat"), (4, "length")]
    refused = office.upload(*bad, is_dry_run=False, status=400)
    assert [each["pointer"] for each in refused["errors"]] == ["/rows/2/lat", "/rows/4/length"]
    assert office.upload(*ORDERS, is_dry_run=True)["orders"] == 2
    assert office.get("jobs/")["results"] == []
    booked = office.upload(*ORDERS, is_dry_run=False)["booked"]
    assert [job["number"] for job in booked] == ["W-1", "W-2"]
    again = office.upload(*ORDERS, is_dry_run=False, status=400)
    assert [each["pointer"] for each in again["errors"]] == ["/rows/2/number", "/rows/3/number"]


def fabricate(office: Person, number: str, *, stages: tuple[str, ...]) -> None:
    """Cut and inspect; before that the job is not ready, and every reason is told at once."""
    job = office.job(number)
    for stage in stages:
        office.post(f"jobs/{job['id']}/stage/", {"stage": stage}, 200)
    first, second = job["pieces"]
    scratched = {"passed": False, "note": "a scratch at the edge"}
    office.post(f"pieces/{first['id']}/inspections/", scratched)
    refused = office.post(f"jobs/{job['id']}/stage/", {"stage": "ready"}, 409)
    assert {each["code"] for each in refused["findings"]} == {"inspection_failed", "not_inspected"}
    for piece in (first, second):
        office.post(f"pieces/{piece['id']}/inspections/", {"passed": True})
    assert office.post(f"jobs/{job['id']}/stage/", {"stage": "ready"}, 200)["stage"] == "ready"


def plan(office: Person) -> Any:
    return office.post("plans/", {"first_on": FIRST_ON, "last_on": LAST_ON, "seed": 1})


def publish(office: Person, drafted: Any) -> None:
    office.post(f"plans/{drafted['id']}/publish/", status=200)


def work_outbox(at: datetime) -> None:
    """The worker wakes up once."""
    outbox.work(now=lambda: at, limit=100)


def told(visit_id: str, number: int, kind: str, about: str, minutes_ago: int) -> dict[str, Any]:
    return {
        "client_id": uuid5(UUID(visit_id), f"{number}"),
        "visit": visit_id,
        "kind": kind,
        "about": about,
        "happened_at": (NOW - timedelta(minutes=minutes_ago)).isoformat(),
    }


def measure(templater: Person, job: Any) -> None:
    """Come, leave, send the sizes; the lines of the hours add up."""
    place = visit(job, "template")
    for number, (kind, ago) in enumerate((("left", 3), ("arrived", 40))):
        templater.post(f"visits/{place['id']}/reports/", {
            name: value for name, value in told(place["id"], number, kind, "", ago).items()
            if name != "visit"
        }, 200)  # fmt: skip
    measured = templater.put(f"jobs/{job['id']}/pieces/", SIZES)
    assert measured["stage"] == "templated"
    assert measured["pieces"][0]["size"] == "7' 6\" x 2' 1 1/2\""
    templater.put(f"jobs/{job['id']}/route/", [{"kind": "path", "length_mm": "12 m"}])
    for hours in templater.get(f"jobs/{job['id']}/hours/"):
        assert sum(line["minutes"] for line in hours["hours_lines"]) == pytest.approx(
            hours["p50_min"], abs=1e-6
        )
        assert hours["p50_min"] < hours["p80_min"] < hours["p90_min"]


def move(office: Person, job: Any) -> datetime:
    """Draft the same days anew, put the install on another day by hand, publish."""
    drafted, install = plan(office), visit(job, "install")
    before = datetime.fromisoformat(install["placement"]["starts_at"])
    day = LAST_ON if (before + timedelta(hours=AHEAD_H)).date() < LAST_ON else FIRST_ON
    starts_at = datetime.combine(day, datetime.min.time(), UTC) + timedelta(hours=10 - AHEAD_H)
    wish = {
        "visit": install["id"],
        "crew": install["placement"]["crew"],
        "starts_at": starts_at.isoformat(),
    }
    office.post(f"plans/{drafted['id']}/moves/", wish, 200)
    changes = office.get(f"plans/{drafted['id']}/compare/")
    assert [change["visit"] for change in changes if change["before"]] == [install["id"]]
    publish(office, drafted)
    return starts_at


def install(lead: Person, job: Any) -> None:
    """Send the day's reports late, backwards and twice; each counts once."""
    place = visit(job, "install")
    day = [told(place["id"], number, *each) for number, each in enumerate(DAY)]
    lead.post("reports/", day[:1], 200)
    work_outbox(datetime.now(UTC))
    stray = told(place["id"], 99, "piece set", "Z", 1)
    for _ in range(2):
        outcomes = lead.post("reports/", [*reversed(day), stray], 200)
        assert [each["problem"] is None for each in outcomes] == [True] * len(day) + [False]
        assert outcomes[-1]["problem"]["errors"][0]["pointer"] == "/about"
    kept = lead.get(f"visits/{place['id']}/reports/")
    assert [each["kind"] for each in kept] == [kind for kind, _, _ in DAY]
    done = lead.get(f"visits/{place['id']}/")
    assert (done["progress_share"], done["actual_min"]) == (1.0, 43.0)
    assert done["finished_at"] == done["live_finish_at"]
    assert lead.get(f"jobs/{job['id']}/")["stage"] == "installed"


def sign(lead: Person, job: Any, customer: str) -> None:
    """An open item stands against it until the customer accepts it in writing."""
    lead.post(f"jobs/{job['id']}/open-items/", {"what": "polish the seam"})
    shown = lead.get(f"jobs/{job['id']}/sign-off/")
    signature = {
        "signer_name": customer,
        "way": "drawn",
        "strokes": [[[10, 40, 0], [30, 22, 16], [55, 41, 32]]],
        "seen_sha256": shown["document_sha256"],
    }
    refused = lead.post(f"jobs/{job['id']}/sign-off/", signature, 409)
    assert [each["code"] for each in refused["findings"]] == ["open_items"]
    signed = lead.post(f"jobs/{job['id']}/sign-off/", signature | {"accepts_open_items": True})
    assert signed["document_sha256"] == shown["document_sha256"]
    assert "polish the seam" in signed["document"]
    assert lead.get(f"jobs/{job['id']}/")["stage"] == "signed off"


def count_messages(office: Person, gateway: Gateway) -> None:
    """One mail for each piece of news to each customer, one text more to the one who agreed."""
    sent = [
        message
        for channel in ("email", "text")
        for message in office.get(f"outbox/?status=sent&channel={channel}")["results"]
    ]
    counted = Counter((each["kind"], each["channel"]) for each in sent)
    assert counted == {
        ("visit-booked", "email"): 3, ("visit-booked", "text"): 2,
        ("visit-moved", "email"): 1, ("visit-moved", "text"): 1,
        ("two-days-before", "email"): 2, ("two-days-before", "text"): 1,
        ("signed-off", "email"): 2, ("signed-off", "text"): 1,
        ("on-the-way", "email"): 2, ("on-the-way", "text"): 1,
    }  # fmt: skip
    assert len(mail.outbox) == sum(n for (_, way), n in counted.items() if way == "email")
    texts = [json.loads(body) for _, _, body in gateway.calls]
    assert [text["to"] for text in texts] == ["+1 555 0142"] * (len(sent) - len(mail.outbox))
    assert len({text["id"] for text in texts}) == len(texts)


@pytest.mark.django_db
@pytest.mark.realdb
def test_two_work_orders_become_two_signed_jobs(monkeypatch, settings) -> None:
    settings.TEXT_GATEWAY_SECRET = SECRET
    with serving(Gateway()) as gateway:
        settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{gateway.port}/texts"
        office = found_shop(monkeypatch)
        lead, templater = Person("lena@example.test"), Person("tess@example.test")
        import_orders(office)
        templater.upload(*ORDERS, is_dry_run=False, status=403)

        fabricate(office, "W-2", stages=("templated", "in fabrication"))
        drafted = plan(office)
        assert [each["reasons"][0]["code"] for each in drafted["unplaced"]] == ["not_templated"]
        lead.get(f"jobs/{office.job('W-2')['id']}/", 404)
        publish(office, drafted)
        work_outbox(datetime.now(UTC))
        url = office.post("feeds/", {"purpose": "shop feed"})["url"]
        reader = Reader(url)
        assert len(reader.read() or ()) == 2
        assert reader.read() is None

        measure(templater, office.job("W-1"))
        fabricate(office, "W-1", stages=("in fabrication",))
        publish(office, plan(office))
        work_outbox(datetime.now(UTC))
        before = reader.read() or {}
        assert len(before) == 2 + 1

        starts_at = move(office, office.job("W-1"))
        work_outbox(datetime.now(UTC))
        after = reader.read() or {}
        assert after.keys() == before.keys()
        (moved,) = [uid for uid in after if after[uid]["SEQUENCE"] != before[uid]["SEQUENCE"]]
        assert after[moved]["SEQUENCE"] > before[moved]["SEQUENCE"]
        assert after[moved].start != before[moved].start
        assert after[moved].start == starts_at
        for day in range(1, (LAST_ON - TODAY).days - 1):
            work_outbox(NOW + timedelta(days=day))

        for number, customer in (("W-1", "Mara Linden"), ("W-2", "Bruno Tallis")):
            install(lead, office.job(number))
            work_outbox(datetime.now(UTC))
            sign(lead, office.job(number), customer)
        work_outbox(datetime.now(UTC))
        count_messages(office, gateway)
        for verb in ("job.import", "plan.publish", "visit.report", "job.sign_off"):
            assert office.get(f"log/?verb={verb}")["results"]
