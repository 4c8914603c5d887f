from crewjobs.domain.facts import Trade
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import trades_left
from tests import make


def test_each_trade_is_named_once() -> None:
    left = (Trade.WATER, Trade.GAS, Trade.WATER)
    found = list(trades_left.check(make.job(record=make.record(trades_left=left))))
    assert [f.severity for f in found] == [Severity.NOTE, Severity.NOTE]
    assert "gas" in found[0].message
