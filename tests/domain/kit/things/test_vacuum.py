from dataclasses import replace

from crewjobs.domain.facts import DustRules
from tests import make
from tests.domain.kit.one_thing import lines, outing

CUT = make.piece(needs_field_cut=True)


def test_both_rule_sets_until_the_shop_chose_one():
    both = outing(pieces=(CUT,), seams=())
    assert len(lines("vacuum", both)) == 2
    uk = replace(both, job=replace(both.job, dust_rules=DustRules.UK))
    (only,) = lines("vacuum", uk)
    assert only.name == "vacuum, class M"
    assert only.source.startswith("UK: ")


def test_old_tops_raise_dust_too():
    assert {line.why.split(";")[0] for line in lines("vacuum", tear_out_mm=3000)} == {"old tops"}
    assert lines("vacuum") == []
