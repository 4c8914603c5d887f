"""A day's kit beside its visits': nothing is missing at any stop, nothing used up is shared."""

from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import Group, Line, Unit, kit, of_day
from crewjobs.domain.kit.days import USED_UP
from tests import make
from tests.domain.kit.one_thing import outing


def line(name="x", value: float | None = 1.0, group=Group.TOOLS, **fields) -> Line:
    return Line(**({"name": name, "value": value, "group": group, "why": "A"} | fields))


def test_tools_are_taken_along_and_materials_add_up() -> None:
    morning = [line("saw"), line("cup", 2.0, Group.MATERIALS)]
    evening = [line("saw", 2.0), line("cup", 3.0, Group.MATERIALS)]
    found = {each.name: each.value for each in of_day({"m": morning, "e": evening})}
    assert found == {"saw": 2, "cup": 5}


def test_two_lines_of_one_visit_are_needed_at_once() -> None:
    (found,) = of_day({"m": [line("brace", 2.0, why="A"), line("brace", 2.0, why="B")]})
    assert (found.value, found.why) == (4, "m: A, B")


def test_other_sizes_units_and_what_is_as_needed_stay_apart() -> None:
    bits = [line("bit", size_mm=35), line("bit", size_mm=50)]
    assert len(of_day({"m": bits, "e": bits})) == 2
    tape = line("tape", 2000.0, Group.MATERIALS, unit=Unit.LENGTH)
    assert of_day({"m": [tape], "e": [line("tape", None, Group.MATERIALS)]})[0].value == 2000
    cleaner = line("cleaner", None, Group.MATERIALS)
    (found,) = of_day({"m": [cleaner], "e": [line("cleaner", 1.0, Group.MATERIALS)]})
    assert found.value is None


def test_a_clamp_has_to_bear_the_heaviest_of_the_day() -> None:
    (found,) = of_day({"m": [line(load_kg=40)], "e": [line(load_kg=70)]})
    assert found.load_kg == 70


def test_an_empty_day_asks_for_nothing() -> None:
    assert of_day({}) == ()


@given(st.lists(st.floats(400, 3600), min_size=1, max_size=4))
def test_no_stop_lacks_what_its_own_kit_asks_for(lengths) -> None:
    kits = {
        f"job {n}": kit(outing(VisitKind.INSTALL, pieces=(make.piece("A", mm),), seams=()))
        for n, mm in enumerate(lengths)
    }
    day = {(each.name, each.unit, each.size_mm): each for each in of_day(kits)}
    wanted: dict[tuple[str, Unit, float | None], list[float]] = {}
    for lines in kits.values():
        for each in lines:
            wanted.setdefault((each.name, each.unit, each.size_mm), []).append(each.value or 0)
    assert day.keys() == wanted.keys()
    for key, values in wanted.items():
        brought = day[key].value or 0
        least = sum(values) if day[key].group in USED_UP else max(values)
        assert brought >= least - 1e-9, key
