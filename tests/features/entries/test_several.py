"""One answer for several reminders: each is asked about, none counted unasked."""

from __future__ import annotations

from datetime import timedelta

from bot.domain.ids import MessageId
from bot.features.effects import AddEntries, Reply
from bot.features.entries.contents import Question
from bot.features.entries.several_rules import ask, ask_as_yesterday, unanswered
from tests.features.states import NOW, TODAY, entry, reminder, state, yesterday

MESSAGE = MessageId(40)
OLD = reminder(
    5, state="expired", sent_at=NOW - timedelta(hours=5), activity="football_hold", minutes=5, side="left"
)
MISSED = reminder(6, state="expired", sent_at=NOW - timedelta(hours=2))
OPEN = reminder(7, sent_at=NOW - timedelta(minutes=20))
YESTERDAY = reminder(
    4, state="expired", sent_at=NOW - timedelta(days=1), local_date=TODAY - timedelta(days=1)
)


def test_all_that_were_sent_today_and_nobody_answered_are_asked_about() -> None:
    effects = ask(state(reminders=(YESTERDAY, OLD, MISSED, OPEN)), MESSAGE, "all")

    added, said = effects
    assert isinstance(added, AddEntries) and isinstance(said, Reply)
    assert [(each.reminder_id, each.activity, each.side, each.state) for each in added.entries] == [
        (OLD.id, "football_hold", "left", "asked"),
        (MISSED.id, "tummy_time", None, "asked"),
        (OPEN.id, "tummy_time", None, "asked"),
    ]
    assert said.content == Question(added.entries)


def test_a_number_means_the_last_so_many() -> None:
    added = ask(state(reminders=(OLD, MISSED, OPEN)), MESSAGE, 2)[0]

    assert isinstance(added, AddEntries)
    assert [each.reminder_id for each in added.entries] == [MISSED.id, OPEN.id]


def test_what_is_answered_is_not_asked_about_again_and_one_alone_is_not_several() -> None:
    told = state(reminders=(MISSED, OPEN), entries=(entry(reminder_id=MISSED.id, state="counted"),))

    assert unanswered(told) == (OPEN,)
    assert ask(told, MESSAGE, "all") == ()


def test_as_yesterday_asks_for_the_minutes_of_the_open_reminders_activity() -> None:
    told = [
        entry(1, 8, local_date=yesterday()),
        entry(2, 5, activity="football_hold", local_date=yesterday()),
    ]

    of_tummy = ask_as_yesterday(state(reminders=(OPEN,)), MESSAGE, told)[0]
    of_all = ask_as_yesterday(state(), MESSAGE, told)[0]

    assert isinstance(of_tummy, AddEntries) and isinstance(of_all, AddEntries)
    assert [(each.activity, each.minutes, each.reminder_id) for each in of_tummy.entries] == [
        ("tummy_time", 8, OPEN.id)
    ]
    assert [(each.activity, each.local_date) for each in of_all.entries] == [
        ("tummy_time", TODAY),
        ("football_hold", TODAY),
    ]
    assert ask_as_yesterday(state(), MESSAGE, []) == ()
