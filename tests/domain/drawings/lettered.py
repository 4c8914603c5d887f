"""How the tests letter their drawings."""

from crewjobs.domain.drawings import Circle, Drawing, Lettering, Line, Polygon, Role, Shape, Words

PLAIN = Lettering(extent=lambda mm: f"{mm:.0f}", mass=lambda kg: f"{kg:.0f} kg", letters=40)


def texts(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.shapes if isinstance(shape, Words)]


def of_role(drawing: Drawing, role: Role) -> list[Shape]:
    return [shape for shape in drawing.shapes if shape.role is role]


def polygons(drawing: Drawing, role: Role) -> list[Polygon]:
    return [shape for shape in of_role(drawing, role) if isinstance(shape, Polygon)]


def lines(drawing: Drawing, role: Role) -> list[Line]:
    return [shape for shape in of_role(drawing, role) if isinstance(shape, Line)]


def circles(drawing: Drawing, role: Role) -> list[Circle]:
    return [shape for shape in of_role(drawing, role) if isinstance(shape, Circle)]
