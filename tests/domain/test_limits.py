import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewjobs.domain.clearances import Clearances
from crewjobs.domain.facts import Job
from crewjobs.domain.limits import KNOWN, USUAL, Limits, Mark, faults
from crewjobs.domain.units import SUFFIXES


def test_each_limit_says_what_it_is_and_where_it_comes_from() -> None:
    for code, known in KNOWN.items():
        assert code.endswith(SUFFIXES)
        assert known.unit
        assert known.words
        assert known.source
        assert not known.fault(known.value)
        assert known.mark is not Mark.PUBLISHED, "a published value stands beside its rule"


def test_a_shop_s_own_values_count_and_the_others_stay() -> None:
    own = Limits.of({"rail_least_mm": 75, "a_name_of_old": 1})
    assert own.rail_least_mm == 75
    assert own.batch_ml == USUAL.batch_ml


@given(st.sampled_from(sorted(KNOWN)), st.floats())
def test_what_is_found_faulty_cannot_be_and_the_rest_can(code: str, value: float) -> None:
    if faults({code: value}):
        with pytest.raises(ValueError, match=code):
            Limits(**{code: value})
    else:
        assert getattr(Limits(**{code: value}), code) == value


def test_what_is_no_number_is_refused() -> None:
    assert faults({"batch_ml": True, "rail_least_mm": None, "hard_min": [1]}) == {
        "batch_ml": "must be a number",
        "rail_least_mm": "must be a number",
        "hard_min": "must be a number",
    }


def test_a_job_keeps_free_what_its_shop_says() -> None:
    assert Job().clearances == Clearances()
    assert Job(limits=Limits(clear_end_mm=90)).clearances == Clearances(end_mm=90)
