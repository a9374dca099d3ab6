"""Who may erase what, what a copy holds, and who may come back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from bot.domain.people import Carer
from bot.features.privacy.rules import Step, copy_holds_family, is_last, may_come_back, step
from tests.features.states import GRANDPA, MUM, NOW, carer

NURSERY = carer("c3", 5003, "Sunny Room", role="day_care")
GROUP = carer("c4", -500, "The family", role="group")
PUT_OUT = replace(MUM, put_out=True)


@pytest.mark.parametrize(
    ("who", "others", "last"),
    [
        (MUM, [], True),
        (MUM, [GRANDPA], False),
        (MUM, [replace(GRANDPA, state="joining")], False),
        (MUM, [replace(GRANDPA, state="left")], True),
        (MUM, [NURSERY, GROUP], True),
        (NURSERY, [], False),
        (PUT_OUT, [], False),
    ],
)
def test_the_last_of_a_family_is_who_has_no_one_else_at_home(
    who: Carer, others: list[Carer], last: bool
) -> None:
    assert is_last(who, [who, *others]) == last


@pytest.mark.parametrize(
    ("pressed", "of_last", "of_others"),
    [
        ("copy", "copy", "copy"),
        ("erase", "ask_own", "ask_own"),
        ("erase:sure", "erase_own", "erase_own"),
        ("all", "ask_all", "keep"),
        ("all:sure", "erase_all", "keep"),
        ("keep", "keep", "keep"),
        ("all:sure:x", "keep", "keep"),
        ("", "keep", "keep"),
    ],
)
def test_only_the_last_erases_what_is_the_familys_and_only_after_a_second_question(
    pressed: str, of_last: Step, of_others: Step
) -> None:
    assert step(pressed, last=True) == of_last
    assert step(pressed, last=False) == of_others


@pytest.mark.parametrize(
    ("who", "holds"),
    [(MUM, True), (replace(MUM, state="left"), False), (NURSERY, False), (GROUP, True)],
)
def test_a_copy_holds_what_is_the_familys_for_who_is_at_home(who: Carer, holds: bool) -> None:
    assert copy_holds_family(who) == holds


@pytest.mark.parametrize(
    ("who", "left_at", "may"),
    [
        (MUM, NOW - timedelta(days=7), True),
        (MUM, NOW - timedelta(days=7, seconds=1), False),
        (MUM, None, False),
        (PUT_OUT, NOW, False),
    ],
)
def test_a_leaving_is_taken_back_within_the_week_and_never_by_who_was_put_out(
    who: Carer, left_at: datetime | None, may: bool
) -> None:
    assert may_come_back(who, left_at, NOW) == may
