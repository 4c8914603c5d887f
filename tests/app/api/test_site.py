"""Visits and what comes from the site, through the API: in order, late, twice, from strangers."""

import datetime as dt
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from crewjobs.models import Photo, StatusReport
from tests import rows
from tests.app import on_site
from tests.app.api.asking import api, at

pytestmark = pytest.mark.django_db
YESTERDAY = dt.datetime.now(tz=dt.UTC) - dt.timedelta(days=1)


@pytest.fixture
def visit():
    return on_site.planned()


def lead():
    return api(rows.lead())


def moment(minute: int) -> str:
    """A minute of yesterday."""
    return (YESTERDAY + dt.timedelta(minutes=minute)).isoformat()


def told(kind: str, minute: int, about: str = "") -> dict:
    body = {"client_id": str(rows.uuid(minute)), "kind": kind, "happened_at": moment(minute)}
    return body | ({"about": about} if about else {})


def test_a_report_sent_twice_is_kept_once(visit) -> None:
    where = at(f"visits/{visit.pk}/reports/")
    first, again = (lead().post(where, told("arrived", 5)) for _ in range(2))
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json()
    assert first.json()["report"]["kind"] == "arrived"
    assert StatusReport.objects.count() == 1
    other = lead().post(where, told("arrived", 5) | {"kind": "left"})
    assert other.status_code == 409


def test_gathered_reports_come_late_and_out_of_order_each_with_its_outcome(visit) -> None:
    gathered = [
        told("piece set", 60, "A"),
        told("arrived", 5),
        told("piece set", 61, "Z"),
        told("walk-through done", 15),
    ]
    answer = lead().post(at(f"visits/{visit.pk}/reports/"), gathered)
    assert answer.status_code == 200, answer.content
    outcomes = answer.json()
    assert [bool(each["report"]) for each in outcomes] == [True, True, False, True]
    assert outcomes[2]["problem"]["status"] == 400
    assert lead().get(at(f"visits/{visit.pk}/")).json()["started_at"] is not None
    kinds = [each["kind"] for each in lead().get(at(f"visits/{visit.pk}/reports/")).json()]
    assert kinds == ["arrived", "walk-through done", "piece set"]


def test_reports_of_several_visits_are_sent_at_once(visit) -> None:
    unknown = str(rows.uuid(99))
    gathered = [
        told("arrived", 5) | {"visit": str(visit.pk)},
        told("arrived", 6) | {"visit": unknown},
    ]
    outcomes = lead().post(at("reports/"), gathered).json()
    assert [each["problem"] and each["problem"]["status"] for each in outcomes] == [None, 404]


def test_a_wrong_report_of_a_list_is_pointed_at_and_none_is_kept(visit) -> None:
    gathered = [told("arrived", 5), told("danced", 6)]
    answer = lead().post(at(f"visits/{visit.pk}/reports/"), gathered)
    assert [each["pointer"] for each in answer.json()["errors"]] == ["/1/kind"]
    assert not StatusReport.objects.exists()


def test_a_report_from_the_future_is_refused_with_a_pointer(visit) -> None:
    later = (dt.datetime.now(tz=dt.UTC) + dt.timedelta(days=1)).isoformat()
    answer = lead().post(
        at(f"visits/{visit.pk}/reports/"), told("arrived", 5) | {"happened_at": later}
    )
    assert [each["pointer"] for each in answer.json()["errors"]] == ["/happened_at"]


def test_another_crew_reports_on_nothing_of_ours(visit) -> None:
    stranger = api(rows.lead(rows.crew("Crew Birch")))
    assert stranger.post(at(f"visits/{visit.pk}/reports/"), told("arrived", 5)).status_code == 404
    assert stranger.get(at(f"visits/{visit.pk}/reports/")).status_code == 404
    assert stranger.get(at(f"visits/{visit.pk}/photos/")).status_code == 404


def jpeg() -> SimpleUploadedFile:
    written = BytesIO()
    Image.new("RGB", (640, 480), "gray").save(written, "JPEG")
    return SimpleUploadedFile("seam.jpg", written.getvalue(), "image/jpeg")


def test_a_photo_is_kept_once_and_shown_to_its_crew_only(visit) -> None:
    where = at(f"visits/{visit.pk}/photos/")
    shot = {
        "client_id": str(rows.uuid(3)),
        "kind": "seam",
        "taken_at": moment(9),
    }
    for _ in range(2):
        answer = lead().post(where, shot | {"file": jpeg()}, format="multipart")
        assert answer.status_code == 201, answer.content
    photo = Photo.objects.get()
    shown = lead().get(at(f"photos/{photo.pk}/file/"))
    assert shown["Content-Type"] == "image/jpeg"
    assert b"".join(shown.streaming_content)[:2] == b"\xff\xd8"
    stranger = api(rows.lead(rows.crew("Crew Birch")))
    assert stranger.get(at(f"photos/{photo.pk}/file/")).status_code == 404
    cut = SimpleUploadedFile("cut.jpg", jpeg().read()[:200], "image/jpeg")
    again = shot | {"client_id": str(rows.uuid(4)), "file": cut}
    assert lead().post(where, again, format="multipart").status_code == 400


@pytest.mark.usefixtures("visit")
def test_visits_are_found_by_crew_day_and_state() -> None:
    rows.visit(rows.job("1002"))
    office = api(rows.dispatcher())

    def found(**query) -> list[str]:
        answer = office.get(at("visits/"), query)
        assert answer.status_code == 200, answer.content
        return sorted(each["number"] for each in answer.json()["results"])

    assert found(state="placed") == ["1001"]
    assert found(state="unplaced") == ["1002"]
    assert found(crew=str(rows.crew().pk), on="2026-06-03") == ["1001"]
    assert found(on="2026-06-04") == []
    assert found(state="open", kind="install") == ["1001", "1002"]


def test_a_visit_is_changed_locked_confirmed_and_cancelled(visit) -> None:
    office, where = api(rows.dispatcher()), f"visits/{visit.pk}/"
    assert office.patch(at(where), {"hands": 4}).json()["hands"] == 4
    window = {"on": "2026-06-03", "starts_at": "08:00", "ends_at": "10:00"}
    assert len(office.put(at(f"{where}windows/"), [window]).json()["windows"]) == 1
    assert office.put(at(f"{where}windows/"), []).json()["windows"] == []
    assert office.put(at(f"{where}lock/"), {"is_locked": True}).json()["is_locked"]
    assert office.post(at(f"{where}confirm/")).json()["customer_confirmed_at"]
    cancelled = office.post(at(f"{where}cancel/")).json()
    assert (bool(cancelled["cancelled_at"]), cancelled["placement"]) == (True, None)
    assert office.post(at(f"{where}cancel/")).status_code == 409
    assert lead().patch(at(where), {"hands": 2}).status_code == 403


def test_a_return_visit_is_about_some_pieces(visit) -> None:
    office = api(rows.dispatcher())
    sent = {"kind": "return", "pieces": ["B"], "due_on": "2030-01-01"}
    made = office.post(at(f"jobs/{visit.job_id}/visits/"), sent)
    assert (made.status_code, made.json()["pieces"]) == (201, ["B"])
    assert len(office.get(at(f"jobs/{visit.job_id}/visits/")).json()) == 2
    wrong = office.post(at(f"jobs/{visit.job_id}/visits/"), sent | {"pieces": ["Z"]})
    assert [each["pointer"] for each in wrong.json()["errors"]] == ["/pieces"]
