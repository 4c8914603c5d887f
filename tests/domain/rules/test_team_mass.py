from crewjobs.domain.facts import Team, Work
from crewjobs.domain.findings import Severity
from crewjobs.domain.rules import team_mass
from tests import make


def findings(hands: int, **piece):
    work = Work(pieces=(make.piece(**piece),))
    return list(team_mass.check(make.job(work=work, team=Team(hands=hands))))


def test_a_heavy_piece_wants_more_people() -> None:
    """2440 x 650 x 30 mm at 2400 kg/m3 is 114.2 kg: three at 45 kg each."""
    (finding,) = findings(hands=2)
    assert (finding.severity, finding.about) == (Severity.WARN, "A")
    assert "(114 kg) asks for 3 people at 45 kg each, there are 2" in finding.message


def test_enough_people_pass() -> None:
    assert not findings(hands=3)


def test_more_than_four_do_not_carry_together() -> None:
    """3200 x 1300 x 30 mm is 299.5 kg: seven at 45 kg each."""
    (finding,) = findings(hands=8, length_mm=3200, depth_mm=1300)
    assert "asks for 7 people at 45 kg each, there are 4: bring a lifting aid" in finding.message


def test_the_warning_says_what_it_does_not_cover() -> None:
    (finding,) = findings(hands=2)
    assert "no health limit" in finding.message
    assert "Local rules for lifting come first" in finding.message
