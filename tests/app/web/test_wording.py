import pytest

from crewjobs.models import Shop, Units
from crewjobs.web.wording import GAP, fine_extent, in_units

METRIC, IMPERIAL = Shop(units=Units.METRIC), Shop(units=Units.IMPERIAL)


@pytest.mark.parametrize(
    ("message", "metric", "imperial"),
    [
        ("A is 648 mm deep", "A is 648 mm deep", "A is 2' 1 1/2\" deep"),
        ("weighs 99.2 kg", "weighs 99 kg", "weighs 219 lb"),
        ("at 45 kg each", "at 45 kg each", "at 99 lb each"),
        ("pitch of 42 deg at a", "pitch of 42° at a", "pitch of 42° at a"),
        ("5 C, the least is 10 C", "5 °C, the least is 10 °C", "41 °F, the least is 50 °F"),
        ("1.6 mm wide", "1.6 mm wide", "1/16\" wide"),
        ("room: height_mm, free_wall_mm", "room: height, free wall", "room: height, free wall"),
        ("width_mm is -5, the least is 0", "width is -5 mm, the least is 0 mm",
         "width is -0.197\", the least is 0\""),
        ("300 mm, the most is 254 (why)", "300 mm, the most is 254 mm (why)",
         "11 13/16\", the most is 10\" (why)"),
        ("lifting index 2.2 (3 is the most)", "lifting index 2.2 (3 is the most)",
         "lifting index 2.2 (3 is the most)"),
        ("strength 30 MPa, job 1001 mm-wise", "strength 30 MPa, job 1001 mm-wise",
         "strength 30 MPa, job 3' 3 7/16\"-wise"),
    ],
)  # fmt: skip
def test_a_message_speaks_the_shop_s_units(message, metric, imperial) -> None:
    assert in_units(message, METRIC).replace(GAP, " ") == metric
    assert in_units(message, IMPERIAL).replace(GAP, " ") == imperial


@pytest.mark.parametrize(
    ("length_mm", "said"),
    [(0.794, '1/32"'), (9.525, '3/8"'), (60, '2.36"'), (12.7, '1/2"'), (0.1, '0.00394"')],
)
def test_a_small_length_is_a_fraction_where_it_is_near_one(length_mm, said) -> None:
    assert fine_extent(length_mm, IMPERIAL).replace(GAP, " ") == said
    assert fine_extent(length_mm, METRIC) == f"{length_mm:g}{GAP}mm"
