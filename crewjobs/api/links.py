"""The addresses of calendar feeds: made, listed, renewed, ended. An address is shown once."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse
from rest_framework import serializers

from crewjobs.actions import links
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Strict
from crewjobs.models import Crew, Link, Person, Purpose
from crewjobs.permissions import SEES_EVERYTHING

FEEDS = [(str(purpose), str(purpose)) for purpose in Purpose if purpose in links.FEEDS]


class FeedIn(Strict):
    """A crew's feed names the crew, a person's the person; yours where nobody is named."""

    purpose = serializers.ChoiceField(choices=FEEDS)
    crew = serializers.PrimaryKeyRelatedField(queryset=Crew.objects.all(), required=False)
    person = serializers.PrimaryKeyRelatedField(queryset=Person.objects.all(), required=False)


class FeedOut(serializers.ModelSerializer[Link]):
    class Meta:
        model = Link
        fields = ["id", "purpose", "crew", "person", "created_at", "last_used_at", "last_used_by"]


class NewFeedOut(FeedOut):
    url = serializers.CharField(read_only=True, help_text="For a calendar; shown this once")

    class Meta(FeedOut.Meta):
        fields = [*FeedOut.Meta.fields, "url"]


class Feeds(Endpoint):
    @does("feed.make", answers=FeedOut, many=True)
    def get(self, ask: Ask) -> QuerySet[Link]:
        """The feeds in force that are yours; the office sees all."""
        return _seen(ask.by)

    @does("feed.make", takes=FeedIn, answers=NewFeedOut, status=201)
    def post(self, ask: Ask) -> Link:
        """Make a feed's address. Calendars fetch it every few hours at best."""
        purpose = Purpose(ask.data["purpose"])
        about: dict[str, Any] = {name: ask.data[name] for name in _subject(purpose, ask)}
        return _with_url(*links.make(purpose=purpose, by=ask.by, now=ask.now, **about))


class OneFeed(Endpoint):
    @does("feed.make")
    def delete(self, ask: Ask, link_id: UUID) -> None:
        """End a feed: its address is unknown from now on."""
        links.revoke(_seen(ask.by).get(pk=link_id), by=ask.by, now=ask.now)


class FeedRotate(Endpoint):
    @does("feed.make", answers=NewFeedOut, status=201)
    def post(self, ask: Ask, link_id: UUID) -> Link:
        """End the old address and make a new one for the same calendar."""
        return _with_url(*links.rotate(_seen(ask.by).get(pk=link_id), by=ask.by, now=ask.now))


def _subject(purpose: Purpose, ask: Ask) -> list[str]:
    """The name of the field that says whose feed it is; the asking person's own by default."""
    if purpose is Purpose.SHOP_FEED:
        return []
    name = "crew" if purpose is Purpose.CREW_FEED else "person"
    ask.data.setdefault(name, ask.by.crew if name == "crew" else ask.by)
    return [name]


def _with_url(link: Link, token: str) -> Link:
    vars(link)["url"] = settings.PUBLIC_URL + reverse("feed", args=[token])
    return link


def _seen(by: Person) -> QuerySet[Link]:
    found = Link.objects.in_force().filter(purpose__in=links.FEEDS)
    if by.role in SEES_EVERYTHING:
        return found
    theirs = Q(person=by) | (Q(crew=by.crew_id) if by.crew_id else Q(made_by=by))
    return found.filter(theirs)
