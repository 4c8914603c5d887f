"""One kind of thing by itself, for a job that is said in a few words."""

from crewjobs.domain import catalogue
from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import Line, Outing, things
from tests import make


def outing(kind: VisitKind = VisitKind.INSTALL, **work) -> Outing:
    return Outing.of(make.job(work=make.work(**work)), kind, {})


def lines(thing: str, of: Outing | None = None, **work) -> list[Line]:
    """What one file yields, whatever the visit."""
    (module,) = (m for name, m in catalogue.modules(things) if name == thing)
    return list(module.lines(of or outing(**work)))


def amounts(found: list[Line]) -> dict[str, float | None]:
    """By name, what there is of each; names that come twice are added up."""
    said: dict[str, float | None] = {}
    for line in found:
        before = said.get(line.name)
        said[line.name] = line.value if before is None else before + (line.value or 0)
    return said
