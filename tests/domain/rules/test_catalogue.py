"""Every rule file is whole: nothing lists the rules by hand."""

from importlib import import_module
from pathlib import Path

import pytest

from crewjobs.domain import catalogue, rules
from crewjobs.domain.facts import HoldReason, Stage, Trade, Work
from crewjobs.domain.findings import Severity
from tests import make

MODULES = dict(catalogue.modules(rules))
WRONG = make.job(
    work=make.work(),
    team=make.job().team,
    carrier_kg=10,
    record=make.record(
        is_cancelled=True,
        holds=tuple(HoldReason),
        rejected=frozenset({"A"}),
        remakes=frozenset({"A"}),
        open_items=("a chip",),
        trades_left=tuple(Trade),
        balance_cents=1,
    ),
)


@pytest.mark.parametrize("name", MODULES)
def test_a_rule_has_a_title_a_source_its_stages_and_a_test(name) -> None:
    module = MODULES[name]
    assert (module.__doc__ or "").splitlines()[0].endswith(".")
    assert isinstance(module.SOURCE, str)
    assert len(module.SOURCE) > 10
    assert isinstance(module.GUARDS, frozenset)
    assert set(Stage) >= module.GUARDS
    assert (Path(__file__).parent / f"test_{name}.py").exists()


@pytest.mark.parametrize("name", MODULES)
def test_a_finding_bears_its_file_name_and_source(name) -> None:
    module = MODULES[name]
    bare = make.job(work=Work())
    reported = make.job(record=make.record(reports=(make.report(),)))
    own = getattr(import_module(f"tests.domain.rules.test_{name}"), "WRONG", WRONG)
    found = [f for job in (WRONG, own, bare, reported) for f in module.check(job)]
    assert found
    assert {(f.code, f.source) for f in found} == {(name, module.SOURCE)}


def test_titles_are_read_from_the_files() -> None:
    assert rules.titles()["on_hold"] == "A job on hold goes no further."


def test_advice_comes_heaviest_first_and_asks_only_for_the_next_stage() -> None:
    record = make.record(stage=Stage.READY, balance_cents=1, holds=(HoldReason.OTHER,))
    found = rules.advise(make.job(record=record, carrier_kg=10))
    weights = [list(Severity).index(f.severity) for f in found]
    assert weights == sorted(weights)
    codes = {f.code for f in found}
    assert {"on_hold", "install_not_published", "balance_due", "team_mass"} <= codes
    assert "not_signed" not in codes


def test_a_signed_off_job_hears_only_advice() -> None:
    record = make.record(stage=Stage.SIGNED_OFF, balance_cents=1)
    found = rules.advise(make.job(record=record))
    assert found
    assert not any(MODULES[each.code].GUARDS for each in found)
