"""A therapist's line about a hold of the arm, in both languages; what is not wholly understood changes nothing."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.activities.library import load_library
from bot.parsing.plan_line.reader import read_plan_words
from bot.parsing.plan_line.vocabulary import names_of
from scheduling.plan import Activity, ArmHold, Baby, HoldReason, MinutesADay, Plan
from scheduling.plan.edits import ActivityChange, Change, DayChange

TODAY = date(2026, 2, 10)
MARCH = date(2026, 3, 3)
NAMES = names_of(load_library())
PLAN = Plan(
    Baby("Pip", date(2025, 11, 20), 39, "right"),
    "America/Halifax",
    ((420, 540),),
    activities=(Activity("gentle_range", MinutesADay(6), (2, 2)),),
)


def read(text: str) -> tuple[tuple[Change, ...], tuple[str, ...]]:
    line = read_plan_words(text, PLAN, TODAY, NAMES)
    return line.changes, line.unread


@pytest.mark.parametrize(
    ("text", "reason", "until"),
    [
        ("hold arm fracture until 3 march", "fracture", MARCH),
        ("Hold the arm, broken collarbone, until 3 March", "fracture", MARCH),
        ("rest the weak arm after surgery for 3 weeks", "surgery", TODAY + timedelta(weeks=3)),
        ("hold arm because of the injection until 2026-03-03", "injection", MARCH),
        ("hold arm fracture for 10 days", "fracture", TODAY + timedelta(days=10)),
        ("arm on hold: cast", "cast", None),
        ("hold all arm work, rest after birth, until 3 march", "birth", MARCH),
        ("reposo del brazo por fractura hasta el 3 de marzo", "fracture", MARCH),
        ("Brazo en reposo tras la cirugía hasta el 3 de marzo", "surgery", MARCH),
        ("pausa del brazo, yeso", "cast", None),
        ("reposo del brazo por la inyección durante 2 semanas", "injection", TODAY + timedelta(weeks=2)),
    ],
)
def test_reason_and_date_are_read(text: str, reason: HoldReason, until: date | None) -> None:
    assert read(text) == ((DayChange(arm_hold=ArmHold(reason, TODAY, until)),), ())


def test_a_first_date_may_be_said() -> None:
    changes, unread = read("hold arm surgery from 20 february until 3 march")
    assert changes == (DayChange(arm_hold=ArmHold("surgery", date(2026, 2, 20), MARCH)),)
    assert unread == ()


@pytest.mark.parametrize(
    "text", ["hold arm off", "end the arm hold", "hold the arm: over", "reposo del brazo fin", "quitar el reposo del brazo", "quita la pausa del brazo"]
)  # fmt: skip
def test_its_end_is_read(text: str) -> None:
    assert read(text) == ((DayChange(no_arm_hold=True),), ())


@pytest.mark.parametrize(
    "text",
    [
        "hold arm until 3 march",
        "hold arm fracture until we meet",
        "hold arm fracture and surgery until 3 march",
        "hold arm fracture until 3 march if she cries",
        "hold arm fracture from 3 march until 20 february 2026",
        "reposo del brazo hasta el 3 de marzo",
    ],
)
def test_what_is_not_wholly_understood_changes_nothing_and_is_told(text: str) -> None:
    assert read(text) == ((), (text,))


@pytest.mark.parametrize("text", ["hold arm moves until 3 march", "hold gentle range until 3 march"])
def test_one_activity_on_hold_is_no_hold_of_the_arm(text: str) -> None:
    changes, _ = read(text)
    assert changes == (ActivityChange(activity="gentle_range", from_=MARCH),)


def test_beside_other_lines_each_is_read() -> None:
    changes, unread = read("arm moves 8 min a day; hold arm cast until 3 march")
    assert unread == ()
    assert [type(each) for each in changes] == [ActivityChange, DayChange]
