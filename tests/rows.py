"""Rows with defaults: a test says only what it is about. Fixed values, no chance."""

import datetime as dt
from uuid import UUID

from crewjobs import models
from crewjobs.models import Role

NOW = dt.datetime(2026, 6, 1, 15, 0, tzinfo=dt.UTC)
"""A Monday, 10:00 in the invented place."""
ZONE = "America/Chicago"
PASSWORD = "a quartz counter top"


def at(day: int, hour: float, month: int = 6) -> dt.datetime:
    """A moment of June 2026, in UTC."""
    return dt.datetime(2026, month, day, tzinfo=dt.UTC) + dt.timedelta(hours=hour)


def shop(**fields) -> models.Shop:
    found = models.Shop.objects.first()
    return found or models.Shop.objects.create(
        **({"created_at": NOW, "name": "Alder Bay Stone", "time_zone": ZONE} | fields)
    )


def depot(name: str = "North yard", **fields) -> models.Depot:
    found = models.Depot.objects.filter(name=name).first()
    place = {
        "street": "1 Quarry Road",
        "town": "Alder Bay",
        "lat": 44.9,
        "lon": -91.9,
        "time_zone": ZONE,
    }
    return found or models.Depot.objects.create(
        **({"created_at": NOW, "name": name} | place | fields)
    )


def crew(name: str = "Crew Ash", **fields) -> models.Crew:
    """A crew with a truck that works Monday to Friday, 8 to 17."""
    if found := models.Crew.objects.filter(name=name).first():
        return found
    yard = fields.pop("depot", None) or depot()
    truck = models.Truck.objects.create(
        created_at=NOW, name=f"Truck of {name}", depot=yard, payload_kg=1800,
        frame_length_mm=3000, frame_height_mm=1600, frame_thickness_mm=400,
    )  # fmt: skip
    made = models.Crew.objects.create(
        **({"created_at": NOW, "name": name, "depot": yard, "truck": truck} | fields)
    )
    models.Shift.objects.bulk_create(
        models.Shift(
            created_at=NOW, crew=made, weekday=weekday, starts_at=dt.time(8), ends_at=dt.time(17)
        )
        for weekday in range(5)
    )
    return made


def person(role: Role = Role.DISPATCHER, name: str = "", **fields) -> models.Person:
    name = name or f"A {role}"
    email = fields.pop("email", f"{name.lower().replace(' ', '.')}@example.test")
    if found := models.Person.objects.filter(email=email).first():
        return found
    made = models.Person(
        **({"created_at": NOW, "name": name, "role": role, "email": email} | fields)
    )
    made.set_unusable_password()
    made.save()
    return made


def dispatcher(name: str = "Dana Office") -> models.Person:
    return person(Role.DISPATCHER, name)


def lead(of: models.Crew | None = None, name: str = "") -> models.Person:
    of = of or crew()
    return person(Role.CREW_LEAD, name or f"Lead of {of.name}", crew=of)


def customer(name: str = "Mara Linden", **fields) -> models.Customer:
    return models.Customer.objects.create(
        **({"created_at": NOW, "name": name, "email": "mara@example.test"} | fields)
    )


def site(of: models.Customer | None = None, **fields) -> models.Site:
    place = {
        "street": "12 Harbor Lane",
        "town": "Alder Bay",
        "lat": 44.95,
        "lon": -91.85,
        "time_zone": ZONE,
    }
    return models.Site.objects.create(
        **({"created_at": NOW, "customer": of or customer()} | place | fields)
    )


def job(number: str = "1001", **fields) -> models.Job:
    """A booked job with two tops, a seam, a sink and a way in."""
    where = fields.pop("site", None) or site()
    made = models.Job.objects.create(
        **(
            {"created_at": NOW, "changed_at": NOW, "number": number, "site": where,
             "customer": where.customer, "cabinet_run_mm": 4500} | fields
        )
    )  # fmt: skip
    pieces = [piece(made, "A", position=0), piece(made, "B", 1900, position=1)]
    models.Cutout.objects.create(
        created_at=NOW, piece=pieces[0], kind="undermount sink", x_mm=1220, y_mm=325,
        width_mm=760, height_mm=420, corner_radius_mm=10,
    )  # fmt: skip
    models.Seam.objects.create(
        created_at=NOW, job=made, name="A-B", first=pieces[0], second=pieces[1], length_mm=650
    )
    models.RouteElement.objects.create(
        created_at=NOW, job=made, position=0, kind="path", length_mm=15_000
    )
    return made


def piece(of: models.Job, name: str = "A", length_mm: float = 2440, **fields) -> models.Piece:
    outline = [[0, 0], [length_mm, 0], [length_mm, 650], [0, 650]]
    return models.Piece.objects.create(
        **(
            {"created_at": NOW, "job": of, "name": name, "outline_mm": outline, "thickness_mm": 30}
            | fields
        )
    )


def visit(of: models.Job | None = None, kind: str = "install", **fields) -> models.Visit:
    hours = {"p50_min": 180, "p80_min": 220, "p90_min": 250}
    return models.Visit.objects.create(
        **(
            {"created_at": NOW, "changed_at": NOW, "job": of or job(), "kind": kind}
            | hours
            | fields
        )
    )


def placement(of: models.Visit | None = None, **fields) -> models.Placement:
    """A published place: Wednesday 3 June 2026, 9:00 to 12:40 in the invented place."""
    hours = {"starts_at": at(3, 14), "ends_at": at(3, 17 + 2 / 3)}
    by = fields.pop("crew", None) or crew()
    return models.Placement.objects.create(
        **(
            {"created_at": NOW, "changed_at": NOW, "visit": of or visit(), "crew": by}
            | hours
            | fields
        )
    )


def uuid(number: int) -> UUID:
    """A fixed id."""
    return UUID(int=number)
