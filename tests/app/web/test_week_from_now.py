"""The rest of today planned again from the week's page."""

import pytest
from django.urls import reverse

from crewjobs.models import Plan
from tests import rows

pytestmark = pytest.mark.django_db


def test_the_rest_of_today_is_planned_again(client) -> None:
    rows.shop()
    client.force_login(rows.dispatcher())
    assert reverse("plan-from-now") in client.get(reverse("week")).content.decode()
    answer = client.post(reverse("plan-from-now"))
    plan = Plan.objects.get()
    assert answer.url == reverse("plan", args=[plan.pk])
    assert plan.figures["moves"] == 0
    assert client.get(answer.url).status_code == 200
