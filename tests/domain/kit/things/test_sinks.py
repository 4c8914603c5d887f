from crewjobs.domain.facts import CutoutKind
from tests import make
from tests.domain.kit.one_thing import amounts, lines


def test_two_braces_and_a_clip_each_250_mm_of_the_rim():
    found = lines("sinks", pieces=(make.piece(cutouts=(make.sink(),)),), seams=())
    assert amounts(found) == {"brace for a sink": 2, "sink clip": 10}
    assert found[0].why == "undermount sink in A"


def test_none_for_what_is_laid_in_or_set_in_the_shop():
    laid = make.sink(kind=CutoutKind.DROP_IN_SINK)
    shop = make.sink(is_set_in_shop=True)
    assert lines("sinks", pieces=(make.piece(cutouts=(laid, shop)),), seams=()) == []
