from crewjobs.domain.facts import Work
from crewjobs.domain.rules import weak_rail
from tests import make


def findings(length_mm: float, **hole):
    hole = {"y_mm": 305, "width_mm": 750, "height_mm": 410} | hole
    sink = make.sink(x_mm=length_mm / 2, **hole)
    piece = make.piece(length_mm=length_mm, depth_mm=648, cutouts=(sink,))
    return list(weak_rail.check(make.job(work=Work(pieces=(piece,)))))


def test_a_long_sink_top_gets_a_stiffener_and_grips() -> None:
    (found,) = findings(2600)
    for said in ("safety factor is 1.3", "the least is 3", "stiffener", "from each end",
                 "never carry at the rail"):  # fmt: skip
        assert said in found.message


def test_a_short_top_with_wide_rails_is_silent() -> None:
    assert findings(1200, width_mm=500, height_mm=380, y_mm=324) == []


def test_a_cutout_that_leaves_no_rail_is_said() -> None:
    (found,) = findings(2600, height_mm=648)
    assert "leaves no rail" in found.message
