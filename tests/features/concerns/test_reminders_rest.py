"""After an emergency nobody is asked for minutes before they have been asked how the baby is."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.concerns.advice import is_discreet
from bot.concerns.finding import Concern
from bot.concerns.reader import find_concerns
from bot.domain.ids import MessageId
from bot.features.concerns import rules
from bot.features.concerns.effects import RestReminders
from tests.features.states import NOW, family, reminder, state


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


def test_a_bare_word_after_an_emergency_answers_no_reminder_of_before() -> None:
    """ "Yes" may be said of the emergency, by whoever of the family: it counts no minutes."""
    sent = reminder(7, sent_at=NOW - timedelta(minutes=20))
    rests_until = NOW + timedelta(hours=20)

    assert state(reminders=(sent,)).open_reminder() == sent
    assert state(reminders=(sent,), family=family(rest_until=rests_until)).open_reminder() is None
    assert state(reminders=(sent,), family=family(rest_until=NOW)).open_reminder() == sent
