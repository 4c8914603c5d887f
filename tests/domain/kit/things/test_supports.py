from crewjobs.domain.facts import Support, SupportKind
from tests.domain.kit.one_thing import amounts, lines


def test_what_is_in_place_is_not_brought():
    there = Support(piece="A", kind=SupportKind.PANEL, is_in_place=True)
    assert lines("supports", supports=(there,)) == []


def test_the_missing_by_kind_with_six_screws_each():
    brackets = tuple(Support(piece=name, kind=SupportKind.BRACKET) for name in "AAB")
    rail = Support(piece="B", kind=SupportKind.RAIL)
    found = lines("supports", supports=(*brackets, rail))
    assert amounts(found) == {
        "bracket": 3, "rail": 1, "screw for supports": 24, "drill driver with bits": 1,
    }  # fmt: skip
    assert found[0].why == "beneath A, A, B"
