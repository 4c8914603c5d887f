"""Capability links: hashed, bound to their purpose, ended for good."""

import datetime as dt

import pytest

from crewjobs.actions import links
from crewjobs.actions.errors import ConflictError, InvalidError, NotAllowedError
from crewjobs.models import AuditEntry, Link, Purpose, Role
from tests import rows

pytestmark = pytest.mark.django_db
MINUTE = dt.timedelta(minutes=1)


def crew_link(**fields):
    given: dict = {"purpose": Purpose.CREW_FEED, "by": rows.dispatcher(), "crew": rows.crew()}
    return links.make(now=rows.NOW, **(given | fields))


def test_only_the_hash_of_a_token_is_kept() -> None:
    link, token = crew_link()
    assert len(token) >= 43
    assert links.find(token, Purpose.CREW_FEED, rows.NOW) == link
    assert token not in str(Link.objects.values().get())
    assert AuditEntry.objects.get().verb == "feed.make"


def test_purposes_do_not_mix() -> None:
    _, token = crew_link()
    assert links.find(token, Purpose.SIGN_OFF, rows.NOW) is None
    assert links.find(token, links.FEEDS, rows.NOW) is not None


def test_an_expired_link_is_unknown() -> None:
    _, token = crew_link(expires_at=rows.NOW + MINUTE)
    assert links.find(token, links.FEEDS, rows.NOW) is not None
    assert links.find(token, links.FEEDS, rows.NOW + MINUTE) is None


def test_a_revoked_link_is_unknown_and_stays_so() -> None:
    link, token = crew_link()
    for _ in range(2):
        links.revoke(link, by=rows.dispatcher(), now=rows.NOW)
    assert links.find(token, links.FEEDS, rows.NOW) is None
    assert AuditEntry.objects.filter(verb="feed.revoke").count() == 1
    with pytest.raises(ConflictError):
        links.rotate(link, by=rows.dispatcher(), now=rows.NOW)


def test_a_rotated_link_has_a_new_token_for_the_same_crew() -> None:
    old, old_token = crew_link()
    new, token = links.rotate(old, by=rows.dispatcher(), now=rows.NOW)
    assert links.find(old_token, links.FEEDS, rows.NOW) is None
    assert links.find(token, links.FEEDS, rows.NOW) == new
    assert new.crew == old.crew


def test_the_link_of_a_person_who_left_is_unknown() -> None:
    lead = rows.lead()
    _, token = links.make(purpose=Purpose.PERSON_FEED, person=lead, by=lead, now=rows.NOW)
    lead.is_active = False
    lead.save()
    assert links.find(token, links.FEEDS, rows.NOW) is None


def test_a_crew_may_make_its_own_feeds_and_no_others() -> None:
    ours, theirs = rows.crew(), rows.crew("Crew Birch")
    lead = rows.lead(ours)
    mate = rows.person(Role.CREW_MEMBER, "Mate", crew=ours)
    crew_link(by=lead, crew=ours)
    others: list[dict] = [
        {"purpose": Purpose.CREW_FEED, "crew": theirs},
        {"purpose": Purpose.PERSON_FEED, "person": mate},
        {"purpose": Purpose.SHOP_FEED, "crew": None},
        {"purpose": Purpose.SIGN_OFF, "crew": None, "job": rows.job()},
    ]
    for about in others:
        with pytest.raises(NotAllowedError):
            crew_link(by=lead, **about)


def test_a_feed_of_nobody_is_refused() -> None:
    with pytest.raises(InvalidError) as caught:
        crew_link(crew=None)
    assert list(caught.value.problems) == ["/crew"]


def test_use_is_kept_at_most_once_a_minute(django_assert_num_queries) -> None:
    link, _ = crew_link()
    links.touch(link, now=rows.NOW, by="Reader\n 1")
    link.refresh_from_db()
    assert (link.last_used_at, link.last_used_by) == (rows.NOW, "Reader 1")
    with django_assert_num_queries(0):
        links.touch(link, now=rows.NOW + MINUTE / 2)
    links.touch(link, now=rows.NOW + MINUTE)
    link.refresh_from_db()
    assert link.last_used_at == rows.NOW + MINUTE
