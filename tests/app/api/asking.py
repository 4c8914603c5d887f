"""Asks the API as one of the shop's people, and a whole work order to send."""

from typing import Any

from rest_framework.test import APIClient

from crewjobs.models import Person


def api(person: Person | None = None, **options: Any) -> APIClient:
    """A client that is signed in as this person."""
    client = APIClient(**options)
    if person:
        client.force_authenticate(person)
    return client


def at(path: str) -> str:
    """The whole address of an endpoint."""
    return f"/api/v1/{path}"


def order(**fields: Any) -> dict[str, Any]:
    """A work order: two tops with a seam, a sink, a way in, windows."""
    return {
        "customer": {"name": "Mara Linden", "email": "mara@example.test"},
        "site": {
            "street": "12 Harbor Lane", "town": "Alder Bay", "lat": 44.95, "lon": -91.85,
            "time_zone": "America/Chicago",
            "contacts": [{"name": "Rowan Pike", "part": "builder"}],
            "hours": [
                {"kind": "building hours", "weekday": 2, "starts_at": "08:00", "ends_at": "16:00"}
            ],
        },
        "pieces": [
            {
                "name": "A", "length_mm": "8' 2 1/2\"", "depth_mm": "25.5 in", "thickness_mm": 30,
                "material": "granite",
                "cutouts": [
                    {"kind": "undermount sink", "x_mm": 1220, "y_mm": 325, "width_mm": "760 mm",
                     "height_mm": 420, "corner_radius_mm": 10}
                ],
                "supports": [{"kind": "bracket"}],
            },
            {"name": "B", "outline_mm": [[0, 0], [1900, 0], [1900, 650], [0, 650]],
             "thickness_mm": 30},
        ],
        "seams": [{"name": "A-B", "first": "A", "second": "B", "length_mm": 650}],
        "route": [{"kind": "path", "length_mm": "15 m"}, {"kind": "lift"}],
        "cabinet_run_mm": 4500,
        "visits": [
            {"kind": "install",
             "windows": [{"on": "2030-06-05", "starts_at": "08:00", "ends_at": "12:00"}]}
        ],
        "holds": ["payment due"],
    } | fields  # fmt: skip
