"""A file of work orders as a table: its bytes, its columns, its rows, and what a cell says.

Knows how people save and write such files. Refuses to know what an order is made of.
"""

import csv
import datetime as dt
import io
import math
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from crewjobs.domain import units

MOST_BYTES = 1_000_000
MOST_ROWS = 2_000
MOST_LETTERS = 400
"""In one cell."""
YEARS = range(2000, 2101)

YES = frozenset({"yes", "y", "true", "1", "x"})
NO = frozenset({"no", "n", "false", "0", ""})

Kind = TypeVar("Kind", bound=StrEnum)
Span = tuple[dt.date, dt.time, dt.time]


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """What is wrong with one cell. Rows count as a spreadsheet shows them: the header is row 1."""

    row: int
    column: str
    message: str

    @property
    def pointer(self) -> str:
        """Where it is, as `/rows/12/length`; `/file` for the file as a whole."""
        name = self.column.replace("~", "~0").replace("/", "~1")
        return f"/rows/{self.row}/{name}" if self.row else "/file"


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """How the file writes its numbers."""

    bare_mm: float = units.MM_PER_INCH
    """What a length without a unit counts in."""
    is_decimal_comma: bool = False
    today: dt.date | None = None
    """What a day such as `today+14` counts from."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One row: its number and its texts by column."""

    number: int
    texts: Mapping[str, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """The rows of a file, how it writes numbers, and what is wrong with the file itself."""

    rows: tuple[Row, ...] = ()
    style: Style = field(default_factory=Style)
    problems: tuple[Problem, ...] = ()


def table(data: bytes | str, *, known: Iterable[str], needed: Iterable[str], style: Style) -> Table:
    """The file as rows of known columns, or the problems that keep it from being read at all."""
    try:
        text = _text(data)
        delimiter = _delimiter(text)
        records = list(_records(text, delimiter))
    except _FileError as error:
        return Table(problems=(Problem(row=0, column="", message=str(error)),))
    header = [_column(name) for name in (records[0] if records else [])]
    problems = tuple(_header_problems(header, known=set(known), needed=needed))
    style = replace(style, is_decimal_comma=delimiter == ";")
    if problems:
        return Table(style=style, problems=problems)
    return _table(header, records[1:], style)


class Cells:
    """Some cells, read one after the other. What cannot be read is noted and left out."""

    def __init__(self, texts: Mapping[str, tuple[int, str]], *, row: int, style: Style) -> None:
        self._texts = texts
        self._row = row
        self._style = style
        self.problems: list[Problem] = []

    def has(self, *columns: str) -> bool:
        """Whether something stands in any of the columns."""
        return any(self._texts.get(column, (0, ""))[1] for column in columns)

    def note(self, column: str, message: str) -> None:
        """Keep what is wrong with a cell."""
        row = self._texts.get(column, (self._row, ""))[0]
        self.problems.append(Problem(row=row, column=column, message=message))

    def text(self, column: str, most: int = MOST_LETTERS, *, is_needed: bool = False) -> str:
        """The text, at most so many letters."""
        text = self._texts.get(column, (0, ""))[1]
        if is_needed and not text:
            self.note(column, "must not be empty")
        if len(text) > most:
            self.note(column, f"has {len(text)} letters, the most is {most}")
        return text

    def length_mm(
        self, column: str, *, least_mm: float = 0.0, most_mm: float, default_mm: float | None = None
    ) -> float:
        """The length; the default where nothing stands, which is a problem where there is none."""
        text = self.text(column, is_needed=default_mm is None)
        if not text:
            return least_mm if default_mm is None else default_mm
        try:
            found_mm = units.length_mm(self._dots(text), bare_mm=self._style.bare_mm)
        except (ValueError, OverflowError):
            self.note(column, f"{text!r} is not a length such as 8' 2 1/2\", 98.5 in or 2502 mm")
            return least_mm
        return self._between(column, found_mm, least_mm, most_mm, " mm")

    def maybe_length_mm(self, column: str, *, most_mm: float) -> float | None:
        """The length, None where nothing stands."""
        return self.length_mm(column, most_mm=most_mm) if self.has(column) else None

    def number(
        self, column: str, *, least: float, most: float, default: float | None = None
    ) -> float:
        """The number; the default where nothing stands, which is a problem where there is none."""
        text = self.text(column, is_needed=default is None)
        if not text:
            return least if default is None else default
        if not re.fullmatch(r"[+-]?\d{1,12}(\.\d{1,20})?", self._dots(text), re.ASCII):
            self.note(column, f"{text!r} is not a number")
            return least
        return self._between(column, float(self._dots(text)), least, most, "")

    def count(self, column: str, *, most: int) -> int:
        """A whole number, 0 where nothing stands."""
        found = self.number(column, least=0, most=most, default=0)
        if found % 1:
            self.note(column, f"{found:g} is not a whole number")
        return math.floor(found)

    def day(self, column: str) -> dt.date | None:
        """The day, None where nothing stands."""
        text = self.text(column)
        return self._day(column, text) if text else None

    def spans(self, column: str) -> tuple[Span, ...]:
        """Days with their hours: `2026-06-10 08:00-12:00 | 2026-06-11 13:00-17:00`."""
        parts = [part.split() for part in self.text(column).split("|") if part.strip()]
        found = []
        for part in parts:
            day = self._day(column, part[0])
            hours = self._hours(column, "".join(part[1:]))
            if day and hours:
                found.append((day, *hours))
        return tuple(found)

    def hours(self, column: str) -> tuple[dt.time, dt.time] | None:
        """From when to when, as `08:00-16:00`; None where nothing stands."""
        text = self.text(column)
        return self._hours(column, text.replace(" ", "")) if text else None

    def one_of(self, column: str, kinds: type[Kind], default: Kind) -> Kind:
        """One of an enumeration's words; hyphens and underscores count as spaces."""
        return self.maybe_one_of(column, kinds) or default

    def maybe_one_of(self, column: str, kinds: type[Kind]) -> Kind | None:
        """One of an enumeration's words, None where nothing stands."""
        text = self.text(column)
        for kind in kinds:
            if _plain(kind) == _plain(text):
                return kind
        if text:
            self.note(column, f"{text!r} is none of: {', '.join(kinds)}")
        return None

    def yes(self, column: str) -> bool:
        """Whether the cell says yes."""
        text = self.text(column).lower()
        if text not in YES | NO:
            self.note(column, f"{text!r} is neither yes nor no")
        return text in YES

    def maybe_yes(self, column: str) -> bool | None:
        """Whether the cell says yes, None where nothing stands."""
        return self.yes(column) if self.has(column) else None

    def email(self, column: str) -> str:
        """A mail address, or nothing."""
        text = self.text(column, 254)
        try:
            if text:
                validate_email(text)
        except ValidationError:
            self.note(column, f"{text!r} is not a mail address")
        return text

    def size_mm(self, column: str, *, least_mm: float, most_mm: float) -> tuple[float, float]:
        """A width and a depth, as `30 x 16 1/2`."""
        parts = re.split(r"\s*[x×*]\s*", self.text(column).lower())  # noqa: RUF001 (people write it)
        if len(parts) != 2:
            self.note(column, f"{self.text(column)!r} is not a size such as 30 x 16 1/2")
            return least_mm, least_mm
        row = self._texts[column][0]
        one, two = (Cells({column: (row, part)}, row=row, style=self._style) for part in parts)
        sizes_mm = [
            side.length_mm(column, least_mm=least_mm, most_mm=most_mm) for side in (one, two)
        ]
        self.problems += [*one.problems, *two.problems]
        return sizes_mm[0], sizes_mm[1]

    def _dots(self, text: str) -> str:
        return re.sub(r"(?<=\d),(?=\d)", ".", text) if self._style.is_decimal_comma else text

    def _between(self, column: str, value: float, least: float, most: float, unit: str) -> float:
        if least <= value <= most:
            return value
        self.note(column, f"is {value:g}{unit}, it must be from {least:g} to {most:g}{unit}")
        return least

    def _day(self, column: str, text: str) -> dt.date | None:
        ahead = re.fullmatch(r"today\+(\d{1,4})", text.lower(), re.ASCII)
        if ahead and self._style.today:
            return self._style.today + dt.timedelta(int(ahead[1]))
        try:
            day = dt.datetime.strptime(text, "%Y-%m-%d").date()  # noqa: DTZ007 (a day has no zone)
        except ValueError:
            self.note(column, f"{text!r} is not a day such as 2026-06-30, or today+14")
            return None
        if day.year not in YEARS:
            self.note(column, f"{text} lies too far away")
        return day

    def _hours(self, column: str, text: str) -> tuple[dt.time, dt.time] | None:
        match = re.fullmatch(r"(\d\d?):(\d\d)-(\d\d?):(\d\d)", text, re.ASCII)
        try:
            hour, minute, end_hour, end_minute = map(int, match.groups() if match else ())
            first, last = dt.time(hour, minute), dt.time(end_hour, end_minute)
        except ValueError:
            self.note(column, f"{text!r} is not from when to when, such as 08:00-12:00")
            return None
        if last <= first:
            self.note(column, f"{text} ends before it starts")
        return first, last


class _FileError(Exception):
    """The file cannot be read at all."""


def _text(data: bytes | str) -> str:
    if isinstance(data, str):
        text = data.removeprefix("\ufeff")
        size = len(text)
    else:
        size = len(data)
        text = _decoded(data) if size <= MOST_BYTES else ""
    if size > MOST_BYTES:
        raise _FileError(f"the file has {size} bytes, the most is {MOST_BYTES}")
    if "\0" in text:
        raise _FileError("the file is no CSV text: save it as CSV in UTF-8")
    if not text.strip():
        raise _FileError("the file is empty")
    return text


def _decoded(data: bytes) -> str:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise _FileError("the file is neither UTF-8 nor Windows-1252 text: save it as CSV in UTF-8")


def _delimiter(text: str) -> str:
    header = text.lstrip().partition("\n")[0]
    return ";" if header.count(";") > header.count(",") else ","


def _records(text: str, delimiter: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    count = 0
    try:
        for count, record in enumerate(reader, start=1):
            if count > MOST_ROWS + 1:
                raise _FileError(f"the file has more than {MOST_ROWS} rows: cut it in pieces")
            yield record
    except csv.Error as error:
        raise _FileError(f"row {count + 1} is no CSV row: {error}") from error


def _column(name: str) -> str:
    return "_".join(name.lower().split())


def _header_problems(
    header: Sequence[str], *, known: set[str], needed: Iterable[str]
) -> Iterator[Problem]:
    for name in dict.fromkeys(header):
        if name and name not in known:
            shown = name[:60]
            yield Problem(row=1, column=shown, message=f"there is no column {shown}")
        if name and header.count(name) > 1:
            yield Problem(row=1, column=name[:60], message="the column is there twice")
    for name in needed:
        if name not in header:
            yield Problem(row=1, column=name, message="the column is missing")


def _table(header: Sequence[str], records: Iterable[Sequence[str]], style: Style) -> Table:
    rows, problems = [], []
    for number, record in enumerate(records, start=2):
        cells = [" ".join(cell.split()) for cell in record]
        if not any(cells):
            continue
        if any(cells[len(header) :]):
            problems.append(
                Problem(row=number, column="", message="has more cells than the header")
            )
        named = {name: cell for name, cell in zip(header, cells, strict=False) if name}
        for name, cell in named.items():
            if (clean := _printable(cell)) != cell:
                message = "holds letters that cannot be printed"
                problems.append(Problem(row=number, column=name, message=message))
                named[name] = clean
        rows.append(Row(number=number, texts=named))
    return Table(rows=tuple(rows), style=style, problems=tuple(problems))


def _printable(text: str) -> str:
    """The text without what no database and no page can take."""
    return "".join(
        "?" if unicodedata.category(letter) in {"Cc", "Cs"} else letter for letter in text
    )


def _plain(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text.strip().lower())
