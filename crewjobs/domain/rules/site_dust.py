"""What is cut on site is cut with water or vacuum, outside, and with the right respirator."""

from collections.abc import Iterator

from crewjobs.domain import dust
from crewjobs.domain.dust import DustyWork, Task
from crewjobs.domain.facts import DustRules, Job, Piece, Stage
from crewjobs.domain.findings import Finding, Severity

SOURCE = "; ".join(f"{name}: {source}" for name, source in dust.SOURCES.items())
GUARDS: frozenset[Stage] = frozenset()
SHIFTS_MIN = {"up to 4 h in the shift": 240.0, "longer": 480.0}


def check(job: Job) -> Iterator[Finding]:
    """Yield a warning for each piece that is cut on site, with what each rule set asks for."""
    sets = [job.dust_rules] if job.dust_rules else list(DustRules)
    for piece in job.work.pieces:
        for task in _tasks(piece):
            asked = "; ".join(_asked(task, rules) for rules in sets)
            yield Finding(
                code="site_dust",
                severity=Severity.WARN,
                message=f"piece {piece.name}, {task}: {asked}. {dust.CAUTION}",
                about=piece.name,
                source=SOURCE,
            )


def _tasks(piece: Piece) -> list[Task]:
    on_site = {hole.kind in dust.DRILLED for hole in piece.cutouts if hole.is_made_on_site}
    found = {Task.WET_CORE_DRILL if is_drilled else Task.WET_HANDHELD_SAW for is_drilled in on_site}
    if piece.needs_field_cut:
        found.add(Task.WET_HANDHELD_SAW)
    return sorted(found)


def _asked(task: Task, rules: DustRules) -> str:
    places = []
    for place, is_outdoors in (("outdoors", True), ("indoors", False)):
        for shift, minutes in SHIFTS_MIN.items():
            work = DustyWork(task=task, minutes_min=minutes, is_outdoors=is_outdoors)
            (found,) = dust.protections((work,), rules)
            worn = found.respirator or "in no row of the table"
            places.append(f"{place} {shift} {worn}")
    return f"{rules}: {found.controls}; respirator {', '.join(places)}"
