from tests import make
from tests.domain.kit.one_thing import amounts, lines


def test_a_sheet_for_each_product_with_cleaner_and_silicone():
    seams = (make.seam(adhesive="white"), make.seam(name="again", adhesive="white"))
    found = lines("papers", seams=seams)
    assert amounts(found) == {"safety data sheet": 3, "first-aid kit with eye wash": 1}
    assert found[0].why == "white, cleaner, silicone"


def test_first_aid_always():
    assert len(lines("papers", seams=(), pieces=())) == 1
