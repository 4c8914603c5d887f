"""Sessions with their CSRF token, and machines' tokens."""

import datetime as dt

import pytest
from rest_framework.test import APIClient

from crewjobs.models import ApiToken, AuditEntry
from tests import rows
from tests.app.api.asking import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def dana():
    person = rows.dispatcher()
    person.set_password(rows.PASSWORD)
    person.save()
    return person


def token_of(person):
    sent = {"name": "the saw", "email": person.email.upper(), "password": rows.PASSWORD}
    answer = APIClient().post(at("tokens/"), sent)
    assert answer.status_code == 201, answer.content
    return answer.json()["token"]


def bearing(token: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    return client


def test_a_token_is_shown_once_and_kept_hashed(dana) -> None:
    token = token_of(dana)
    assert bearing(token).get(at("me/")).json()["email"] == dana.email
    assert token not in str(list(ApiToken.objects.values()))
    [listed] = bearing(token).get(at("tokens/")).json()
    assert "token" not in listed
    assert AuditEntry.objects.get().verb == "token.make"


def test_a_wrong_password_and_an_unknown_address_look_the_same(dana) -> None:
    answers = [
        APIClient().post(at("tokens/"), {"name": "x", "email": email, "password": "wrong"})
        for email in (dana.email, "nobody@example.test")
    ]
    assert {answer.status_code for answer in answers} == {401}
    assert answers[0].content == answers[1].content


def test_nobody_unknown_gets_in() -> None:
    answer = APIClient().get(at("jobs/"))
    assert (answer.status_code, answer["WWW-Authenticate"]) == (401, "Bearer")
    assert answer["Content-Type"] == "application/problem+json"
    assert bearing("made-up").get(at("jobs/")).status_code == 401


def test_a_revoked_token_and_one_of_who_left_are_refused(dana) -> None:
    first, second = token_of(dana), token_of(dana)
    listed = bearing(first).get(at("tokens/")).json()
    for token in listed:
        assert bearing(first).delete(at(f"tokens/{token['id']}/")).status_code in {204, 401}
    assert bearing(second).get(at("me/")).status_code == 401
    third = token_of(dana)
    dana.is_active = False
    dana.save()
    assert bearing(third).get(at("me/")).status_code == 401


def test_somebody_elses_token_is_not_found(dana) -> None:
    token_of(dana)
    lead = rows.lead()
    client = APIClient()
    client.force_authenticate(lead)
    token = ApiToken.objects.get()
    assert client.delete(at(f"tokens/{token.pk}/")).status_code == 404
    token.refresh_from_db()
    assert token.revoked_at is None


def test_use_of_a_token_is_kept(dana) -> None:
    token = token_of(dana)
    before = dt.datetime.now(tz=dt.UTC) - dt.timedelta(days=1)
    ApiToken.objects.update(last_used_at=before)
    bearing(token).get(at("me/"))
    used_at = ApiToken.objects.get().last_used_at
    assert used_at is not None
    assert used_at > before


def test_a_session_changes_nothing_without_its_csrf_token(dana) -> None:
    rows.shop()
    client = APIClient(enforce_csrf_checks=True)
    client.force_login(dana)
    assert client.get(at("shop/")).status_code == 200
    answer = client.patch(at("shop/"), {"name": "Other"})
    assert answer.status_code == 403
    assert answer["Content-Type"] == "application/problem+json"
    secret = "a" * 32
    client.cookies["csrf"] = secret
    sent = client.patch(at("shop/"), {"name": "Other"}, headers={"X-CSRFToken": secret})
    assert sent.json()["name"] == "Other"


def test_a_role_says_what_it_allows() -> None:
    client = APIClient()
    client.force_authenticate(rows.lead())
    me = client.get(at("me/")).json()
    assert "piece.inspect" in me["verbs"]
    assert "job.book" not in me["verbs"]
