"""What "fewer" and "more" do to the reminders of a day."""

from __future__ import annotations

import pytest

from bot.domain.ids import OutboxId
from bot.domain.subject import Subject
from bot.features.effects import Acknowledge, EditLine, Reply, RequestReplan
from bot.features.reminders.frequency_rules import (
    ABOUT,
    FrequencyShown,
    SetFrequency,
    decide_press,
    decide_wish,
)
from bot.parsing.answers import Wish
from scheduling.budget import FLOOR, PromptLoad

MOST = 8


@pytest.mark.parametrize(
    ("budget", "wish", "line", "number"),
    [
        (8, "fewer", "now", 7),
        (5, "more", "now", 6),
        (8, "more", "plan_allows", 8),
        (FLOOR, "fewer", "is_least", FLOOR),
        (8, 4, "now", 4),
        (4, 4, "now", 4),
        (4, 20, "now", 8),
        (8, 20, "plan_allows", 8),
        (FLOOR, 0, "is_least", FLOOR),
    ],
)
def test_a_wish_moves_the_day_by_one_within_what_the_plan_allows(
    budget: int, wish: Wish, line: str, number: int
) -> None:
    before = PromptLoad(budget, None)
    changed, replanned, said = decide_wish(before, MOST, wish)

    assert isinstance(changed, SetFrequency)
    assert (changed.before, changed.after.budget) == (before, number)
    assert replanned == RequestReplan()
    assert said == Reply(content=FrequencyShown(line, number), about=ABOUT)  # type: ignore[arg-type]


def test_a_tap_under_the_answer_changes_it_in_place_and_one_elsewhere_is_answered() -> None:
    before, message = PromptLoad(8, None), OutboxId(4)
    in_place = decide_press(before, MOST, "fewer", pressed=message, about=ABOUT)
    elsewhere = decide_press(before, MOST, "fewer", pressed=message, about=Subject("digest"))

    assert (in_place[0], in_place[-1]) == (Acknowledge(), EditLine(message, FrequencyShown("now", 7)))
    assert (elsewhere[0], elsewhere[-1]) == (
        Acknowledge(),
        Reply(content=FrequencyShown("now", 7), about=ABOUT),
    )
