"""The API describes itself, validly, without a warning, and lets in nobody undeclared."""

import re

import pytest
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from openapi_spec_validator import validate
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.test import APIRequestFactory, force_authenticate

from crewjobs.api.access import ANYONE, SIGNED_IN, verb_of
from crewjobs.api.endpoint import Endpoint
from crewjobs.api.urls import ENDPOINTS
from crewjobs.models import Person, Role
from crewjobs.permissions import VERBS
from tests import rows
from tests.app.api.asking import api, at

PUBLIC = {("tokens/", "post"), ("schema/", "get")}


def asked() -> list[tuple[str, str, str | None]]:
    """Every address and method, with the verb that it declares."""
    return [
        (address, method, verb_of(endpoint, method))
        for address, endpoint in ENDPOINTS.items()
        for method in ("get", "post", "put", "patch", "delete")
        if hasattr(endpoint, method)
    ]


def test_every_method_of_every_address_declares_a_known_verb() -> None:
    known = set(VERBS) | {SIGNED_IN}
    assert [each for each in asked() if each[2] not in known] == [
        (path, method, ANYONE) for path, method, _ in asked() if (path, method) in PUBLIC
    ]


def test_an_undeclared_method_lets_nobody_in() -> None:
    class Silent(Endpoint):
        def get(self, _request: Request) -> Response:
            return Response({})

    request = APIRequestFactory().get("/")
    force_authenticate(request, Person(role=Role.DISPATCHER))
    assert verb_of(Silent, "GET") is None
    assert Silent.as_view()(request).status_code == 403


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role)
def test_a_role_is_let_in_where_its_verbs_say_so_and_nowhere_else(role) -> None:
    """Nothing is there yet, so that who is let in finds nothing, or sent too little."""
    client = api(rows.person(role))
    for address, method, verb in asked():
        if verb == ANYONE:
            continue
        path = re.sub("<slug:[a-z_]+>", "x", re.sub("<uuid:[a-z_]+>", str(rows.uuid(7)), address))
        answer = getattr(client, method)(at(path), {})
        is_allowed = verb == SIGNED_IN or role in VERBS[verb or ""]
        assert (answer.status_code != 403) == is_allowed, (method, path)
        assert answer.status_code < 500, (method, path)
        assert api().get(at(path)).status_code in {401, 405}


@pytest.mark.django_db
def test_the_description_is_valid_openapi_without_a_warning(client) -> None:
    GENERATOR_STATS.reset()
    SchemaGenerator().get_schema(request=None, public=True)
    said = [*GENERATOR_STATS._warn_cache, *GENERATOR_STATS._error_cache]
    assert said == []
    answer = client.get("/api/v1/schema/")
    assert answer.json()["openapi"] == "3.1.1"
    validate(answer.json())
