"""What tests of pages share: somebody signed in, and a page read as a browser would."""

from html.parser import HTMLParser

from django.test import Client

from crewjobs.models import Person, Role
from tests import rows

EMPTY = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source"}
VOID = EMPTY | {"path", "rect", "circle", "polygon", "line"}


class Page(HTMLParser):
    """The elements of a page with their attributes, and its words."""

    def __init__(self, response) -> None:
        super().__init__()
        self.status = response.status_code
        self.html = response.content.decode()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.open: list[str] = []
        self.unclosed: list[str] = []
        self.words: list[str] = []
        self.feed(self.html)
        self.text = " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.unclosed.append(tag)

    def handle_data(self, data):
        self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def read(client: Client, address: str) -> Page:
    return Page(client.get(address))


def is_well_made(page: Page) -> None:
    """What every page has, and what none may have."""
    assert len(page.all("h1")) == 1
    assert page.all("html") == [{"lang": "en"}]
    assert len(page.all("title")) >= 1
    assert page.all("script") == []
    assert page.all("style") == []
    for tag, attributes in page.elements:
        odd = [name for name in attributes if name == "style" or name.startswith("on")]
        assert odd == [], (tag, attributes)
    assert page.unclosed == []
    assert page.open == []
    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert len(ids) == len(set(ids)), sorted(ids)
    labelled = {attributes.get("for") for attributes in page.all("label")}
    for field in page.all("input") + page.all("select") + page.all("textarea"):
        assert field.get("type") == "hidden" or field.get("id") in labelled, field


PEOPLE = {
    "the dispatcher": lambda: rows.dispatcher(),
    "the crew on the job": lambda: rows.lead(),
    "a crew that is not": lambda: rows.lead(rows.crew("Crew Birch")),
    "a reader": lambda: rows.person(Role.READER),
}
