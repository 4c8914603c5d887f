"""Calendar feeds at `/cal/<token>.ics`: published places as events, and nothing of a draft.

The only file that knows iCalendar. All times are UTC, no METHOD is given, a UID never changes and
DTSTAMP is the change time, so that two fetches are the same bytes. Feeds end up in other people's
clouds: no customer's name, phone or door code stands in one. Readers fetch every few hours at
best, so a feed is never the only channel for a change of the same day.
"""

import gzip
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.cache import cache
from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.urls import URLPattern, path
from django.utils.cache import get_conditional_response, patch_vary_headers
from django.utils.http import http_date
from django.views.decorators.http import require_safe
from icalendar import Calendar, Event
from icalendar.prop import vDuration, vText

from crewjobs.actions import links
from crewjobs.models import Link, Piece, Placement, Purpose, Shop

PAST, FUTURE = timedelta(days=30), timedelta(days=180)
CANCELLED_STAYS = timedelta(days=7)
"""Long enough for a reader that comes once a day; after that it would only pile up."""
MOST_EVENTS = 1000
READ_AGAIN = timedelta(minutes=30)
KEPT_S = 300
"""How long bytes are kept: bounds the age of an address that was corrected without a move."""
COLORS = ("steelblue", "seagreen", "darkorange", "mediumpurple", "indianred", "goldenrod", "teal")
CONTROLS = dict.fromkeys({*range(32), *range(127, 160), 0x2028, 0x2029} - {9, 10, 13}, " ")
"""Control characters have no place in a text value, RFC 5545 section 3.1."""


class Text(vText):
    """A text that keeps a backslash before a capital N, which the library takes for a break."""

    def to_ical(self) -> bytes:
        """The value as RFC 5545 section 3.3.11 escapes it."""
        text = self.translate(CONTROLS).replace("\\", "\\\\").replace(";", "\\;")
        text = text.replace(",", "\\,").replace("\r\n", "\\n").replace("\r", "\\n")
        return text.replace("\n", "\\n").encode()


def calendar(name: str, color: str, events: Iterable[Event]) -> bytes:
    """The feed's bytes: the same events make the same bytes."""
    made = Calendar()
    made.add("version", "2.0")
    made.add("prodid", "-//crewjobs//feed 1//EN")
    made.add("calscale", "GREGORIAN")
    made.add("name", Text(name))
    made.add("x-wr-calname", Text(name))
    made.add("color", color)
    made.add("refresh-interval", vDuration(READ_AGAIN), parameters={"VALUE": "DURATION"})
    made.add("x-published-ttl", vDuration(READ_AGAIN))
    for event in events:
        made.add_component(event)
    return bytes(made.to_ical())


def event(placement: Placement, *, with_crew: bool = False) -> Event:
    """One published place. A withdrawn one is shown as cancelled, and takes no time."""
    visit, job, site = placement.visit, placement.visit.job, placement.visit.job.site
    is_cancelled = placement.withdrawn_at is not None
    made = Event()
    made.add("uid", f"{visit.id}@{urlsplit(settings.PUBLIC_URL).hostname or 'localhost'}")
    made.add("sequence", placement.sequence)
    made.add("dtstamp", placement.changed_at)
    made.add("last-modified", placement.changed_at)
    made.add("dtstart", placement.starts_at.astimezone(UTC))
    made.add("dtend", placement.ends_at.astimezone(UTC))
    made.add("status", "CANCELLED" if is_cancelled else "CONFIRMED")
    made.add("transp", "TRANSPARENT" if is_cancelled else "OPAQUE")
    made.add("summary", Text(_summary(placement, with_crew=with_crew)))
    made.add("location", Text(site.address))
    made.add("geo", (site.lat, site.lon))
    made.add("url", f"{settings.PUBLIC_URL}/visits/{visit.id}/")
    made.add("description", Text(_description(placement, job.number)))
    return made


def _summary(placement: Placement, *, with_crew: bool) -> str:
    visit, job = placement.visit, placement.visit.job
    head = "CANCELLED: " if placement.withdrawn_at else ""
    crew = f"{placement.crew.name}: " if with_crew else ""
    return f"{head}{crew}{visit.kind.capitalize()} {job.number} {job.title}".strip()


def _description(placement: Placement, number: str) -> str:
    visit = placement.visit
    pieces = getattr(placement, "piece_count", None) or 0
    return "\n".join(
        [
            f"Job {number}, {visit.kind} visit",
            f"Pieces: {pieces}",
            f"Hands: {visit.hands}",
            f"Hours: {_hours(visit.p50_min)} as likely as not, {_hours(visit.p80_min)} in four of"
            " five visits (P50, P80)",
        ]
    )


def _hours(span_min: float) -> str:
    hours, minutes = divmod(round(span_min), 60)
    return f"{hours} h {minutes:02d} min"


def placements(link: Link, today: datetime) -> QuerySet[Placement]:
    """What the feed shows, counted from midnight so that a day's fetches agree."""
    window = Q(starts_at__gte=today - PAST, starts_at__lt=today + FUTURE)
    stays = Q(withdrawn_at__isnull=True) | Q(ends_at__gte=today - CANCELLED_STAYS)
    found = Placement.objects.filter(window, stays)
    if link.purpose == Purpose.SHOP_FEED:
        others = Placement.objects.filter(visit=OuterRef("visit")).exclude(pk=OuterRef("pk"))
        later = (
            Q(withdrawn_at__isnull=True)
            | Q(changed_at__gt=OuterRef("changed_at"))
            | Q(changed_at=OuterRef("changed_at"), pk__gt=OuterRef("pk"))
        )
        return found.exclude(Q(withdrawn_at__isnull=False) & Exists(others.filter(later)))
    if link.purpose == Purpose.CREW_FEED:
        return found.filter(crew=link.crew_id)
    return found.filter(crew__members=link.person_id)


def _with_their_job(found: QuerySet[Placement]) -> QuerySet[Placement]:
    named = Piece.objects.filter(visits=OuterRef("visit")).order_by().values("visits")
    all_of_them = Piece.objects.filter(job=OuterRef("visit__job")).order_by().values("job")
    return (
        found.select_related("crew", "visit__job__site")
        .annotate(
            piece_count=Coalesce(
                Subquery(named.annotate(n=Count("pk")).values("n")),
                Subquery(all_of_them.annotate(n=Count("pk")).values("n")),
            )
        )
        .order_by("starts_at", "id")[:MOST_EVENTS]
    )


def _name(link: Link, shop: str) -> str:
    if link.crew:
        return f"{link.crew.name}, {shop}"
    return f"{link.person.name}, {shop}" if link.person else f"{shop}, all crews"


def _body(link: Link, found: QuerySet[Placement]) -> bytes:
    shop = Shop.objects.values_list("name", flat=True).first() or "crewjobs"
    color = COLORS[(link.crew_id or link.pk).int % len(COLORS)]
    for_all = link.purpose == Purpose.SHOP_FEED
    rows = _with_their_job(found)
    return calendar(_name(link, shop), color, (event(row, with_crew=for_all) for row in rows))


def _bytes(link: Link, today: datetime) -> tuple[bytes, datetime]:
    """The feed and when it last changed; kept as long as no place, visit or job of it changes."""
    found = placements(link, today)
    newest: dict[str, Any] = found.aggregate(
        count=Count("pk"),
        places=Max("changed_at"),
        visits=Max("visit__changed_at"),
        jobs=Max("visit__job__changed_at"),
    )
    version = "|".join(str(part) for part in (today, link.pk, *newest.values()))
    key = f"feed:{sha256(version.encode()).hexdigest()}"
    body: bytes | None = cache.get(key)
    if body is None:
        body = _body(link, found)
        cache.set(key, body, KEPT_S)
    changes = [moment for moment in newest.values() if isinstance(moment, datetime)]
    return body, max([today, link.created_at, *changes])


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponseBase:
    now = datetime.now(tz=UTC)
    link = links.find(token, links.FEEDS, now)
    if link is None:
        raise Http404
    links.touch(link, now=now, by=request.headers.get("User-Agent", ""))
    body, changed_at = _bytes(link, now.replace(hour=0, minute=0, second=0, microsecond=0))
    return _answer(request, body, changed_at)


def _answer(request: HttpRequest, body: bytes, changed_at: datetime) -> HttpResponseBase:
    """The bytes, zipped where the reader takes that, or only the word that they are unchanged."""
    zips = "gzip" in request.headers.get("Accept-Encoding", "")
    etag = f'"{sha256(body).hexdigest()[:32]}{"-gzip" if zips else ""}"'
    response = HttpResponse(content_type="text/calendar; charset=utf-8")
    response["ETag"] = etag
    response["Last-Modified"] = http_date(changed_at.timestamp())
    response["Cache-Control"] = "private, no-cache"
    patch_vary_headers(response, ["Accept-Encoding"])
    last_modified = int(changed_at.timestamp())
    answer = get_conditional_response(request, etag, last_modified, response)
    if answer is not None and answer is not response:
        return answer
    response["Content-Disposition"] = 'inline; filename="calendar.ics"'
    if zips:
        response["Content-Encoding"] = "gzip"
    response.content = gzip.compress(body, mtime=0) if zips else body
    return response


urlpatterns: list[URLPattern] = [path("cal/<slug:token>.ics", feed, name="feed")]
