from tests.domain.kit.one_thing import lines


def test_a_set_of_brackets_if_one_stands_in_the_run():
    (line,) = lines("dishwasher", has_dishwasher=True)
    assert line.value == 1
    assert "licensed" in line.caution
    assert lines("dishwasher") == []
