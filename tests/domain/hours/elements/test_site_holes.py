from crewjobs.domain.facts import Cutout, CutoutKind, Work
from tests import make
from tests.domain.hours.one_element import items, spans


def hole(kind: CutoutKind, *, is_made_on_site: bool) -> Cutout:
    return Cutout(
        kind=kind, x_mm=300, y_mm=325, width_mm=35, height_mm=35, is_made_on_site=is_made_on_site
    )


def test_holes_of_one_piece_share_their_set_up():
    taps = (hole(CutoutKind.TAP_HOLE, is_made_on_site=True),) * 2
    work = Work(pieces=(make.piece("A", cutouts=taps),))
    assert spans(items("site_holes", work)) == [5 + 2 * 7]


def test_a_sawn_opening_takes_longer_than_a_core():
    work = Work(pieces=(make.piece("A", cutouts=(make.sink(is_made_on_site=True),)),))
    assert spans(items("site_holes", work)) == [5 + 40]


def test_what_the_shop_has_made_costs_nothing_on_site():
    work = Work(
        pieces=(make.piece("A", cutouts=(hole(CutoutKind.TAP_HOLE, is_made_on_site=False),)),)
    )
    assert items("site_holes", work) == []
