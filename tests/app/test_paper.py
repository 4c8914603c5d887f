"""Sheets on paper: every word can be read back, nothing breaks them, equal sheets equal bytes."""

from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from crewjobs import paper
from crewjobs.domain.drawings import PENS, Anchor, Circle, Drawing, Line, Polygon, Role, Words
from crewjobs.domain.sheets import Blank, Facts, Pictures, Points, Sheet, Table
from crewjobs.paper import Paper

ROWS = tuple((str(n), f"Piece {n}", f"{n} mm") for n in range(12))


def sheet(*blocks, heading="Visit 1001", cautions=("Local rules come first.",)) -> Sheet:
    return Sheet(heading=heading, under="Today", blocks=blocks, cautions=cautions)


def read(*found: Sheet, size: Paper = Paper.A4) -> list[str]:
    """The words of each page, on one line, as a reader of our own choice sees them."""
    pages = PdfReader(BytesIO(paper.pdf(found, size))).pages
    return [" ".join(page.extract_text().replace("\u00a0", " ").split()) for page in pages]


def drawing(*shapes) -> Drawing:
    return Drawing(
        width_mm=2000, height_mm=700, letter_mm=40, shapes=shapes, title="A", description="A top"
    )


def test_every_cell_can_be_read_back() -> None:
    table = Table(title="Pieces", head=("#", "Name", "Long"), rows=ROWS, figures=frozenset({0, 2}))
    (page,) = read(sheet(table, Facts(rows=(("Where", "12 Harbor Lane"),))))
    for row in ROWS:
        assert " ".join(row) in page
    assert "Where 12 Harbor Lane" in page
    assert page.startswith("Visit 1001") or "Visit 1001 Today" in page
    assert "Local rules come first." in page


@pytest.mark.parametrize(
    "name",
    [
        "Łódź, Kraków, Zażółć",
        "Příbor, Tábor, Žďár",
        "Año, corazón, ¿qué?",
        "Ștefan",
        "Αθήνα",
        "Київ",
    ],
)
def test_letters_of_many_languages_are_there(name) -> None:
    (page,) = read(sheet(Facts(rows=(("Customer", name),))))
    assert name in page


def test_signs_that_mean_something_to_a_printer_stay_as_they_are() -> None:
    said = '<b>2 < 3 & "4"</b> <br/> &amp;'
    (page,) = read(sheet(Points(title="<i>", points=(("stop", said),)), heading="A & <b>"))
    assert said in page
    assert "A & <b>" in page


def test_pages_are_counted_over_all_sheets_and_name_their_own() -> None:
    long = Table(title="Pieces", head=("#", "Name", "Long"), rows=ROWS * 8)
    pages = read(sheet(long, heading="First"), sheet(heading="Second"))
    assert len(pages) >= 3
    for number, page in enumerate(pages, start=1):
        assert f"{number} of {len(pages)}" in page
        assert ("Second" if number == len(pages) else "First") in page
    assert all("Name" in page for page in pages[:-1])


@pytest.mark.parametrize(("size", "points"), [(Paper.A4, (595, 842)), (Paper.LETTER, (612, 792))])
def test_the_paper_is_the_shop_s(size, points) -> None:
    box = PdfReader(BytesIO(paper.pdf([sheet()], size))).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == points


def test_the_same_sheet_gives_the_same_bytes() -> None:
    found = sheet(Blank(title="Notes"), Pictures(title="A", drawings=(drawing(),)))
    assert paper.pdf([found]) == paper.pdf([found])


def test_a_drawing_of_every_role_is_drawn_with_its_words() -> None:
    corners = ((0, 0), (2000, 0), (2000, 600), (0, 600))
    shapes = [
        shape
        for role in Role
        for shape in (
            Polygon(corners_mm=corners, role=role),
            Line(points_mm=corners, role=role),
            Circle(middle_mm=(50, 50), radius_mm=20, role=role),
        )
    ]
    words = [
        Words(text=f"said {anchor}", at_mm=(900, 100 * n), anchor=anchor, turn_deg=90 * n)
        for n, anchor in enumerate(Anchor)
    ]
    assert set(PENS) == set(Role)
    (page,) = read(sheet(Pictures(title="Drawn", drawings=(drawing(*shapes, *words),))))
    for anchor in Anchor:
        assert f"said {anchor}" in page.replace("\n", " ")


def test_a_drawing_wider_than_the_paper_is_made_smaller_and_short_ones_share_a_line() -> None:
    wide = Drawing(
        width_mm=90_000, height_mm=60_000, letter_mm=40, title="W", description="",
        shapes=(Words(text="far", at_mm=(45_000, 30_000)),),
    )  # fmt: skip
    assert len(read(sheet(Pictures(title="Wide", drawings=(wide,))))) == 1
    small = Drawing(width_mm=600, height_mm=600, letter_mm=40, title="S", description="", shapes=())
    assert len(read(sheet(Pictures(title="Small", drawings=(small,) * 12)))) == 1


TEXT = st.text(max_size=300)


@settings(max_examples=40, deadline=None)
@given(TEXT, TEXT, st.lists(st.tuples(TEXT, TEXT, TEXT), max_size=4), st.booleans())
def test_whatever_people_write_is_set(title, said, rows, has_ticks) -> None:
    table = Table(title=title, head=("a", "b", "c"), rows=tuple(rows), has_ticks=has_ticks)
    found = sheet(Facts(rows=((title, said),)), Points(title=said, points=((title, said),)), table)
    assert paper.pdf([found]).startswith(b"%PDF")


@pytest.mark.parametrize("said", ["word " * 6000, "x" * 9000])
def test_what_is_longer_than_a_page_runs_on(said) -> None:
    table = Table(title="T", head=("a", "b"), rows=((said, "b"), ("c", said)))
    pages = read(sheet(Facts(rows=(("Note", said),)), table))
    assert len(pages) > 3
    assert "Local rules come first." in pages[-1]
