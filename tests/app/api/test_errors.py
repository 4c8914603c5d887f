"""Every error is problem+json; none tells more than it should."""

from urllib.parse import urlencode

import pytest
from django.db import OperationalError, connection
from rest_framework.exceptions import ValidationError

from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError, RefusedError
from crewjobs.api import errors
from crewjobs.domain.findings import Finding, Severity
from tests import rows
from tests.app.api.asking import api, at, order

pytestmark = pytest.mark.django_db


def said(exc: Exception) -> tuple[int, dict]:
    answer = errors.problem(exc, {})
    assert answer is not None
    assert answer.data["status"] == answer.status_code
    assert {"type", "title", "detail"} <= set(answer.data)
    return answer.status_code, answer.data


def test_each_refusal_of_an_action_has_its_status() -> None:
    stop = Finding(code="too_heavy", severity=Severity.STOP, message="A: 210 kg", about="A")
    status, body = said(RefusedError([stop]))
    assert (status, body["findings"][0]["code"]) == (409, "too_heavy")
    status, body = said(InvalidError({"/pieces/0/name": "is taken"}))
    assert status == 400
    assert body["errors"] == [
        {"pointer": "/pieces/0/name", "code": "invalid", "detail": "is taken"}
    ]
    assert said(ConflictError("too late"))[0] == 409
    assert said(NotAllowedError("job.book"))[0] == 403


def test_nested_errors_become_json_pointers() -> None:
    detail = {
        "pieces": [{}, {"cutouts": {2: ["too wide"]}}],
        "a/b~c": ["odd name"],
        "non_field_errors": ["on the whole"],
    }
    _, body = said(ValidationError(detail))
    assert [each["pointer"] for each in body["errors"]] == ["/pieces/1/cutouts/2", "/a~1b~0c", ""]


def test_a_list_with_one_bad_entry_points_at_it() -> None:
    _, body = said(ValidationError([{}, {"kind": ["unknown"]}]))
    assert [each["pointer"] for each in body["errors"]] == ["/1/kind"]


def test_a_database_that_does_not_answer_is_503_to_be_tried_again() -> None:
    office = api(rows.dispatcher())

    def fail(*_args: object) -> None:
        raise OperationalError("server closed the connection to 10.0.0.7")

    with connection.execute_wrapper(fail):
        answer = office.get(at("jobs/"))
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert b"10.0.0.7" not in answer.content


def test_a_mistake_of_our_own_is_not_explained() -> None:
    assert errors.problem(RuntimeError("secret"), {}) is None


@pytest.mark.parametrize(
    ("method", "path", "options", "status"),
    [
        ("get", "jobs/0007/", {}, 404),
        ("get", "jobs/00000000-0000-0000-0000-000000000007/", {}, 404),
        ("get", "nothing/of/the/kind", {}, 404),
        ("delete", "jobs/", {}, 405),
        ("options", "jobs/", {}, 405),
        ("post", "jobs/", {"data": "<a/>", "content_type": "text/xml"}, 415),
        ("post", "jobs/", {"data": "{", "content_type": "application/json"}, 400),
        ("post", "jobs/", {"data": "[1]", "content_type": "application/json"}, 400),
        ("post", "jobs/", {"data": '{"site": NaN}', "content_type": "application/json"}, 400),
        ("post", "jobs/", {"data": "[" * 100_000, "content_type": "application/json"}, 400),
        ("post", "jobs/", {"data": {"site": {"lat": 10**400}}}, 400),
        ("get", "jobs/?cursor=broken", {}, 404),
        ("get", "jobs/?cursor=cD1icm9rZW4=", {}, 404),
        ("get", "log/?cursor=cD1icm9rZW4=", {}, 404),
        ("get", "visits/?on=0001-01-01", {}, 400),
        ("get", "jobs/?text=%00", {}, 400),
    ],
)
def test_the_protocol_is_spoken_in_problems(method, path, options, status) -> None:
    answer = getattr(api(rows.dispatcher()), method)(at(path), **options)
    assert answer.status_code == status
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["status"] == status


def test_a_name_that_is_taken_is_pointed_at() -> None:
    rows.depot()
    place = {"street": "1 Road", "town": "Alder Bay", "lat": 1, "lon": 1, "time_zone": "UTC"}
    answer = api(rows.dispatcher()).post(at("depots/"), {"name": "North yard", **place})
    assert [each["pointer"] for each in answer.json()["errors"]] == ["/name"]


def test_nothing_half_written_is_left_of_a_refused_order() -> None:
    rows.shop()
    office = api(rows.dispatcher())
    assert office.post(at("jobs/"), order(number="5")).status_code == 201
    again = office.post(at("jobs/"), order(number="5"))
    assert again.json()["errors"][0]["pointer"] == "/number"
    assert len(office.get(at(f"customers/?{urlencode({'page_size': 9})}")).json()["results"]) == 1
