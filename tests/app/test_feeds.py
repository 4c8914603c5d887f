"""Calendar feeds: the same bytes for the same places, read back by two independent readers."""

import datetime as dt
import gzip
from pathlib import Path

import icalendar
import pytest
import vobject
from django.core.cache import cache
from hypothesis import given
from hypothesis import settings as bounded
from hypothesis import strategies as st

from crewjobs import feeds, models
from crewjobs.actions import links
from crewjobs.models import Purpose
from tests import rows

pytestmark = pytest.mark.django_db
GOLDEN = Path(__file__).with_name("golden_feed.ics")
TODAY = dt.datetime.now(tz=dt.UTC).replace(hour=0, minute=0, second=0, microsecond=0)
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def address(settings) -> None:
    settings.PUBLIC_URL = "https://stone.example.test"


def address_of(purpose=Purpose.CREW_FEED, **about) -> str:
    _, token = links.make(purpose=purpose, by=rows.dispatcher(), now=rows.NOW, **about)
    return f"/cal/{token}.ics"


def placed(day: float = 1, **fields):
    """A published place so many days from now."""
    starts_at = TODAY + day * DAY + dt.timedelta(hours=14)
    hours = {"starts_at": starts_at, "ends_at": starts_at + dt.timedelta(hours=3, minutes=40)}
    visit = fields.pop("visit", None) or rows.visit(rows.job(fields.pop("number", "1001")))
    return rows.placement(visit, **(hours | fields))


def events(answer):
    return read(answer.content)


def read(body):
    return icalendar.Calendar.from_ical(body).walk("VEVENT")


def test_the_feed_is_the_golden_file() -> None:
    visit = rows.visit(rows.job(title="Linden; kitchen, island"), id=rows.uuid(7))
    kept = rows.placement(visit, sequence=2)
    gone = rows.visit(rows.job("1002"), id=rows.uuid(8))
    cancelled = rows.placement(gone, sequence=3, withdrawn_at=rows.NOW)
    for placement in (kept, cancelled):
        vars(placement)["piece_count"] = 2
    made = feeds.calendar(
        "Crew Ash, Alder Bay Stone", "teal", [feeds.event(kept), feeds.event(cancelled)]
    )
    assert made == GOLDEN.read_bytes()
    assert b"METHOD" not in made


def test_two_fetches_are_the_same_bytes(client) -> None:
    placed()
    where = address_of(crew=rows.crew())
    cache.clear()
    first = client.get(where)
    cache.clear()
    assert client.get(where).content == first.content
    assert first["Content-Type"] == "text/calendar; charset=utf-8"
    assert first["Cache-Control"] == "private, no-cache"
    assert first["Content-Disposition"].startswith("inline")
    assert not first.cookies


def test_an_unchanged_feed_is_answered_with_304(client) -> None:
    placed()
    where = address_of(crew=rows.crew())
    first = client.get(where)
    again = client.get(where, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == first["ETag"]
    by_date = client.get(where, headers={"If-Modified-Since": first["Last-Modified"]})
    assert by_date.status_code == 304
    assert client.get(where, headers={"If-None-Match": '"other"'}).status_code == 200


def test_a_reader_that_takes_gzip_gets_it_under_its_own_etag(client) -> None:
    placed()
    where = address_of(crew=rows.crew())
    plain, zipped = client.get(where), client.get(where, headers={"Accept-Encoding": "br, gzip"})
    assert gzip.decompress(zipped.content) == plain.content
    assert zipped["Content-Encoding"] == "gzip"
    assert zipped["ETag"] != plain["ETag"]
    assert "Accept-Encoding" in plain["Vary"]


def test_a_move_raises_the_sequence_and_keeps_the_uid(client) -> None:
    placement = placed()
    where = address_of(crew=rows.crew())
    before = client.get(where)
    placement.starts_at += DAY
    placement.ends_at += DAY
    placement.sequence += 1
    placement.changed_at += DAY
    placement.save()
    after = client.get(where, headers={"If-None-Match": before["ETag"]})
    [old], [new] = events(before), events(after)
    assert new["UID"] == old["UID"]
    assert new["SEQUENCE"] == old["SEQUENCE"] + 1
    assert new.start == old.start + DAY
    assert new["DTSTAMP"].dt == new["LAST-MODIFIED"].dt == placement.changed_at


def test_a_visit_moved_to_another_crew_is_cancelled_in_the_old_feed(client) -> None:
    ours, theirs = rows.crew(), rows.crew("Crew Birch")
    old = placed(crew=ours, withdrawn_at=rows.NOW)
    placed(2, visit=old.visit, crew=theirs)
    [left] = events(client.get(address_of(crew=ours)))
    assert (left["STATUS"], left["TRANSP"]) == ("CANCELLED", "TRANSPARENT")
    assert left["SUMMARY"].startswith("CANCELLED: ")
    [came] = events(client.get(address_of(crew=theirs)))
    assert (came["STATUS"], came["UID"]) == ("CONFIRMED", left["UID"])
    [shown] = events(client.get(address_of(Purpose.SHOP_FEED)))
    assert (shown["STATUS"], shown["SUMMARY"][:11]) == ("CONFIRMED", "Crew Birch:")


def test_the_shop_feed_shows_a_twice_withdrawn_visit_once(client) -> None:
    old = placed(crew=rows.crew(), withdrawn_at=rows.NOW)
    placed(2, visit=old.visit, crew=rows.crew("Crew Birch"), withdrawn_at=rows.NOW)
    assert len(events(client.get(address_of(Purpose.SHOP_FEED)))) == 1


def test_a_cancelled_visit_goes_after_a_week_and_an_old_one_after_a_month(client) -> None:
    placed(-6, number="1", withdrawn_at=rows.NOW)
    placed(-9, number="2", withdrawn_at=rows.NOW)
    placed(-29, number="3")
    placed(-31, number="4")
    placed(181, number="5")
    shown = events(client.get(address_of(crew=rows.crew())))
    assert [event["SUMMARY"].split()[-1] for event in shown] == ["3", "1"]


def test_a_person_sees_the_places_of_their_crew(client) -> None:
    placed()
    rows.placement(rows.visit(rows.job("2")), crew=rows.crew("Crew Birch"))
    where = address_of(Purpose.PERSON_FEED, person=rows.lead())
    assert len(events(client.get(where))) == 1
    stranger = rows.person(name="No Crew")
    assert events(client.get(address_of(Purpose.PERSON_FEED, person=stranger))) == []


def test_nothing_of_the_customer_but_the_address_is_shown(client) -> None:
    customer = rows.customer("Wren Hollis", phone="555 0100")
    job = rows.job(site=rows.site(customer, access_note="code 4711"), note="dog in the yard")
    placed(visit=rows.visit(job))
    body = client.get(address_of(crew=rows.crew())).content.decode()
    assert "12 Harbor Lane" in body
    for word in ("Hollis", "0100", "4711", "dog", "mara@"):
        assert word not in body


def test_unknown_and_revoked_addresses_are_not_found(client) -> None:
    link, token = links.make(purpose=Purpose.SHOP_FEED, by=rows.dispatcher(), now=rows.NOW)
    links.revoke(link, by=rows.dispatcher(), now=rows.NOW)
    assert client.get(f"/cal/{token}.ics").status_code == 404
    assert client.get("/cal/unknown.ics").status_code == 404
    assert client.post(f"/cal/{token}.ics").status_code == 405


def test_a_head_request_has_the_headers_and_no_body(client) -> None:
    where = address_of(crew=rows.crew())
    answer = client.head(where)
    assert answer.content == b""
    assert answer["ETag"] == client.get(where)["ETag"]


@pytest.mark.parametrize("count", [1, 12])
def test_the_number_of_queries_does_not_grow(client, count, django_assert_num_queries) -> None:
    for number in range(count):
        placed(number=str(number))
    where = address_of(crew=rows.crew())
    with django_assert_num_queries(5):
        assert len(events(client.get(where))) == count


TEXTS = st.text(
    st.one_of(
        st.sampled_from("\r\n;,:\\Nn\t\"' \u2028\x0b\x00🪨é"),
        st.characters(codec="utf-8", exclude_characters="\x00"),
    ),
    max_size=120,
)


def plain(text: str) -> str:
    return text.translate(feeds.CONTROLS).replace("\r\n", "\n").replace("\r", "\n")


def event_of(text: str) -> bytes:
    made = icalendar.Event()
    made.add("uid", "1")
    made.add("dtstamp", rows.NOW)
    made.add("dtstart", rows.NOW)
    made.add("description", feeds.Text(text))
    return feeds.calendar("A", "teal", [made])


@bounded(max_examples=150)
@given(text=TEXTS)
def test_every_text_survives_in_lines_of_75_octets(text) -> None:
    made = event_of(text)
    assert all(len(line) <= 75 for line in made.split(b"\r\n"))
    assert b"\n" not in made.replace(b"\r\n", b"")
    [one] = read(made)
    if "\\N" not in text:
        assert str(one.get("description", "")) == plain(text)
    other = vobject.readOne(made.decode()).vevent
    assert other.description.value == plain(text)


@pytest.mark.parametrize("before", range(58, 66))
def test_a_wide_character_is_not_split_between_lines(before) -> None:
    made = event_of("a" * before + "🪨")
    assert all(line.decode() is not None and len(line) <= 75 for line in made.split(b"\r\n"))
    assert vobject.readOne(made.decode()).vevent.description.value == "a" * before + "🪨"


@bounded(max_examples=40, deadline=None)
@given(
    after_s=st.integers(0, 2 * 365 * 86400),
    span_min=st.integers(1, 1000),
)
def test_two_readers_agree_on_the_instants(after_s, span_min) -> None:
    starts_at = rows.NOW + dt.timedelta(seconds=after_s)
    ends_at = starts_at + dt.timedelta(minutes=span_min)
    zone = dt.timezone(dt.timedelta(hours=-6))
    placement = models.Placement(
        visit=models.Visit(job=models.Job(site=models.Site(lat=44.9, lon=-91.9))),
        crew=models.Crew(name="A"),
        starts_at=starts_at.astimezone(zone),
        ends_at=ends_at,
        changed_at=rows.NOW,
    )
    made = feeds.calendar("A", "teal", [feeds.event(placement)])
    [one] = read(made)
    other = vobject.readOne(made.decode()).vevent
    assert (one.start, one.end) == (starts_at, ends_at)
    assert (other.dtstart.value, other.dtend.value) == (starts_at, ends_at)
