from tests import make
from tests.domain.kit.one_thing import amounts, lines


def test_one_of_each_for_everybody():
    assert amounts(lines("personal")) == {
        "gloves, pair": 3, "safety shoes, pair": 3, "eye protection": 3,
    }  # fmt: skip


def test_ears_where_stone_is_cut():
    found = amounts(lines("personal", pieces=(make.piece(needs_field_cut=True),), seams=()))
    assert found["ear protection"] == 3
