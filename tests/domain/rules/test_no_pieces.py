from crewjobs.domain.facts import Work
from crewjobs.domain.rules import no_pieces
from tests import make


def test_a_job_without_pieces_is_stopped() -> None:
    (finding,) = no_pieces.check(make.job(work=Work()))
    assert finding.message == "the job has 0 pieces, the least is 1"


def test_one_piece_is_enough() -> None:
    assert not list(no_pieces.check(make.job(work=Work(pieces=(make.piece(),)))))
