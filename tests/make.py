"""Facts with defaults: a test says only what it is about."""

import datetime as dt

from crewjobs.domain.facts import (
    Cutout,
    CutoutKind,
    Job,
    Piece,
    Record,
    Report,
    ReportKind,
    RouteElement,
    RouteKind,
    Seam,
    Team,
    Work,
)


def rectangle(length_mm: float = 2440, depth_mm: float = 650) -> tuple[tuple[float, float], ...]:
    return ((0, 0), (length_mm, 0), (length_mm, depth_mm), (0, depth_mm))


def piece(name: str = "A", length_mm: float = 2440, depth_mm: float = 650, **fields) -> Piece:
    fields.setdefault("thickness_mm", 30)
    return Piece(name=name, outline_mm=rectangle(length_mm, depth_mm), **fields)


def sink(x_mm: float = 1220, y_mm: float = 325, **fields) -> Cutout:
    fields = {"kind": CutoutKind.UNDERMOUNT_SINK, "width_mm": 760, "height_mm": 420} | fields
    return Cutout(x_mm=x_mm, y_mm=y_mm, **fields)


def seam(first: str = "A", second: str = "B", **fields) -> Seam:
    return Seam(
        **(
            {"name": f"{first}-{second}", "first": first, "second": second, "length_mm": 650}
            | fields
        )
    )


def work(**fields) -> Work:
    """Two tops with a seam, a sink, one flight of stairs."""
    kitchen = {
        "pieces": (piece("A", cutouts=(sink(),)), piece("B", 1900)),
        "seams": (seam("A", "B"),),
        "route": (
            RouteElement(kind=RouteKind.PATH, length_mm=15_000),
            RouteElement(kind=RouteKind.STAIRS, steps=14, width_mm=914, length_mm=4_000),
        ),
        "cabinet_run_mm": 4_500,
    }
    return Work(**(kitchen | fields))


START = dt.datetime(2026, 6, 3, 14, tzinfo=dt.UTC)


def report(
    kind: ReportKind = ReportKind.ARRIVED, about: str = "", minute: float = 0, client_id: str = ""
) -> Report:
    """A report some minutes after the planned start, with an id of its own."""
    return Report(
        client_id=client_id or f"{kind} {about} {minute:g}",
        kind=kind,
        about=about,
        happened_at=START + dt.timedelta(minutes=minute),
    )


def record(**fields) -> Record:
    return Record(**fields)


def job(**fields) -> Job:
    return Job(**({"number": "J-1", "work": work(), "team": Team(hands=3)} | fields))
