from crewjobs.domain.facts import CutoutKind
from tests import make
from tests.domain.kit.one_thing import lines


def test_once_round_a_cooktop_and_not_round_an_undermount_sink():
    top = make.piece(cutouts=(make.sink(400), make.sink(1500, kind=CutoutKind.COOKTOP)))
    (tape,) = lines("sealing_tape", pieces=(top,), seams=())
    assert (tape.value, tape.why) == (2 * (760 + 420), "cooktop in A")
