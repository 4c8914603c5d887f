from crewjobs.domain.facts import VisitKind
from crewjobs.domain.kit import kit
from tests.domain.kit.one_thing import outing


def test_strips_for_both_lines_of_the_run():
    found = kit(outing(VisitKind.TEMPLATE))
    assert next(line.value for line in found if line.name == "template strip") == 9000
    assert {line.name for line in found} >= {"laser or tape measure", "angle gauge"}


def test_no_stone_is_carried_to_a_template_visit():
    names = {line.name for line in kit(outing(VisitKind.TEMPLATE))}
    assert names.isdisjoint({"carrying strap", "silicone, tube", "shims"})
