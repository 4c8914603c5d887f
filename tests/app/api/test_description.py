"""The API describes itself, validly, without a warning, and lets in nobody undeclared."""

import pytest
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from openapi_spec_validator import validate

from crewjobs.api.access import ANYONE, SIGNED_IN, verb_of
from crewjobs.api.urls import ENDPOINTS
from crewjobs.permissions import VERBS

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
    class Silent:
        def get(self) -> None: ...

    assert verb_of(Silent, "GET") is None


@pytest.mark.django_db
def test_the_description_is_valid_openapi_without_a_warning(client) -> None:
    GENERATOR_STATS.reset()
    SchemaGenerator().get_schema(request=None, public=True)
    said = [*GENERATOR_STATS._warn_cache, *GENERATOR_STATS._error_cache]
    assert said == []
    answer = client.get("/api/v1/schema/")
    assert answer.json()["openapi"] == "3.1.1"
    validate(answer.json())
