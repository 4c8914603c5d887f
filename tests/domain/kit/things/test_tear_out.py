from tests.domain.kit.one_thing import amounts, lines


def test_a_bag_a_metre_and_a_bar_for_each_of_two():
    found = lines("tear_out", tear_out_mm=3200)
    assert amounts(found) == {"pry bar": 2, "oscillating cutter": 1, "waste bag": 4}
    assert "licensed" in found[0].caution


def test_none_without_old_tops():
    assert lines("tear_out") == []
