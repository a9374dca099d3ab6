"""After an emergency nobody is asked for minutes before they have been asked how the baby is."""

from __future__ import annotations

import pytest

from bot.concerns.advice import is_discreet
from bot.concerns.finding import Concern
from bot.concerns.reader import find_concerns
from bot.domain.ids import MessageId
from bot.features.concerns import rules
from bot.features.concerns.effects import RestReminders


@pytest.mark.parametrize(
    ("words", "rests"),
    [
        ("she went limp and her lips are blue", True),
        ("tiene los labios morados y no reacciona", True),
        ("she cries when I touch the bad arm since this morning", False),
        ("my boyfriend hits me", False),
    ],
)
def test_reminders_rest_after_an_emergency_and_nowhere_a_rest_could_be_wondered_at(
    words: str, rests: bool
) -> None:
    found = find_concerns(words, age_weeks=14, affected_side="right").concern

    assert found is not None
    assert (RestReminders() in rules.decide_raise([], MessageId(7), found)) == rests


def test_what_must_not_show_in_the_home_never_rests_them() -> None:
    found = Concern("act_now", ("harm_by_others",))

    assert is_discreet(found)
    assert not rules.rests_reminders(found)
