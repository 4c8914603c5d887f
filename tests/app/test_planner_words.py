"""What the planner says, in words that people read."""

import datetime as dt

import pytest

from crewjobs.actions import planner_words
from crewjobs.domain.scheduling import CrewDay, Place, Reason, Slot, Window
from crewjobs.domain.scheduling.remedies import Change

TUESDAY = dt.date(2026, 6, 2)
ASH = "6d1e7a3c-0000-4000-8000-000000000001"
JOB = "6d1e7a3c-0000-4000-8000-000000000002"
NAMES = {ASH: "Crew Ash", JOB: "the install visit of job 1012"}
AT = CrewDay(
    crew=ASH, day=TUESDAY, depot=Place(at_lat=0.0, at_lon=0.0), hands=2,
    skills=frozenset({"install"}), shift_start_min=480, shift_end_min=1020, max_overtime_min=60,
)  # fmt: skip


@pytest.mark.parametrize(
    ("code", "fields", "words"),
    [
        ("too_few_hands", {"hands": 3}, "1 more hand with Crew Ash on Tue 2 Jun"),
        ("too_few_hands", {"hands": 4}, "2 more hands with Crew Ash on Tue 2 Jun"),
        (
            "skill_missing",
            {"skills": frozenset({"install", "seam"})},
            "somebody who can do seam with Crew Ash on Tue 2 Jun",
        ),
        (
            "no_time",
            {"max_overtime_min": 87},
            "87 minutes of overtime, where 60 are allowed, for Crew Ash on Tue 2 Jun",
        ),
        ("payload_full", {"payload_kg": 900.2}, "a truck for 901 kg for Crew Ash on Tue 2 Jun"),
        (
            "piece_too_long",
            {"frame_length_mm": 3400.0},
            "an A-frame for pieces of 3400 mm for Crew Ash on Tue 2 Jun",
        ),
        (
            "no_window",
            {"windows": (Window(day=TUESDAY, earliest_min=545, latest_min=545),)},
            "the customer agreeing to a start at 9:05 on Tue 2 Jun",
        ),
        ("not_ready", {"ready_on": TUESDAY}, "the stone ready on Tue 2 Jun"),
    ],
)
def test_a_change_is_said_as_a_thing_to_do(code, fields, words) -> None:
    change = Change(code=code, message="", crew=ASH, day=TUESDAY, fields=fields)
    assert planner_words.change_in_words(change, AT, NAMES) == words


def test_a_move_names_the_job_and_where_it_goes() -> None:
    to = Slot(crew=ASH, day=dt.date(2026, 6, 4))
    change = Change(code="move", message="", visit=f"{JOB}#2", to=to)
    said = planner_words.change_in_words(change, AT, NAMES)
    assert said == (
        "moving the install visit of job 1012, of which nobody was told, to Crew Ash on Thu 4 Jun"
    )


def test_a_message_has_names_and_weekdays_for_ids_and_dates() -> None:
    said = planner_words.in_words(f"visit {JOB}#2 is not with crew {ASH} on 2026-06-02", NAMES)
    assert said == "the install visit of job 1012 is not with Crew Ash on Tue 2 Jun"
    unknown = "crew 6d1e7a3c-0000-4000-8000-000000000003 is not known"
    assert planner_words.in_words(unknown, NAMES) == unknown


def test_a_rule_has_a_first_word_even_if_nobody_wrote_one() -> None:
    few = Reason(code="too_few_hands", message="", needs=3, has=2)
    assert planner_words.in_short(few) == "needs 3 hands, has 2"
    assert planner_words.in_short(Reason(code="never_heard_of", message="")) == "never heard of"
