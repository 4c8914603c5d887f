"""Whatever is sent, the answer is a problem or a success, never a mistake of our own."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.parsers import MultiPartParser

from crewjobs.api.urls import ENDPOINTS
from tests import rows
from tests.app.api.asking import api, at, order

pytestmark = pytest.mark.django_db
bounded = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])

LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.sampled_from([0, -1, 10**400, 2**31, 2**63, 1e308, 0.1, "", "nan", "Infinity", "1e999"]),
    st.sampled_from(["2026-02-30", "0001-01-01", "9999-12-31T23:59:59Z", "24:00", "8' 1/0\""]),
    st.sampled_from(["\x00", "a" * 5000, "\u2028", "📐", "../../x", str(rows.uuid(7))]),
    st.text(max_size=20),
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=5,
)


def declared(endpoint: type, method: str) -> Any:
    return vars(getattr(endpoint, method))["does"]


TAKING = [
    (address, method)
    for address, endpoint in ENDPOINTS.items()
    for method in ("post", "put", "patch")
    if hasattr(endpoint, method) and declared(endpoint, method).takes
]


def places(body: Any, where: tuple = ()) -> Iterator[tuple]:
    """Every place in a body."""
    steps = body.items() if isinstance(body, dict) else enumerate(body)
    for key, value in steps:
        yield (*where, key)
        if isinstance(value, dict | list):
            yield from places(value, (*where, key))


@contextmanager
def forgotten() -> Iterator[None]:
    """What happens here is undone: each example begins anew."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@bounded
@given(where=st.sampled_from(list(places(order()))), value=VALUES)
def test_an_order_with_anything_in_one_place_is_booked_or_refused(where, value) -> None:
    body: Any = order()
    inside = body
    for key in where[:-1]:
        inside = inside[key]
    inside[where[-1]] = value
    with forgotten():
        rows.shop()
        answer = api(rows.dispatcher()).post(at("jobs/"), body)
    assert answer.status_code in {201, 400}, answer.content


def here() -> dict[str, str]:
    """Something that is there for every id in an address."""
    rows.shop()
    visit, by = rows.placement().visit, rows.lead()
    job = visit.job
    piece = job.pieces.get(name="A")
    remake = piece.remakes.create(
        created_at=rows.NOW, reason="flaw", ordered_by=by, ready_on="2026-07-01"
    )
    found = {
        "visit": visit,
        "job": job,
        "piece": piece,
        "remake": remake,
        "item": job.open_items.create(created_at=rows.NOW, what="chip", opened_by=by),
        "work": job.trade_work.create(created_at=rows.NOW, trade="water", what="connect"),
        "person": by,
        "crew": rows.crew(),
    }
    return {name: str(row.pk) for name, row in found.items()}


@bounded
@given(data=st.data())
def test_any_body_to_any_endpoint_is_taken_or_refused(data) -> None:
    address, method = data.draw(st.sampled_from(TAKING))
    names = st.sampled_from(sorted(declared(ENDPOINTS[address], method).takes().fields))
    body = data.draw(st.dictionaries(names, VALUES, max_size=6) | VALUES)
    with forgotten():
        there = here()
        path = re.sub("<uuid:([a-z_]+)_id>", lambda m: there.get(m[1], str(rows.uuid(7))), address)
        client = api(rows.dispatcher())
        if MultiPartParser in ENDPOINTS[address].parser_classes:
            answer = client.post(at(path), {"file": str(body)}, format="multipart")
        else:
            answer = getattr(client, method)(at(path), body)
    assert answer.status_code < 500, answer.content
