"""Which entry a short correction means, and what becomes of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from bot.domain.ids import EntryId, MessageId, OutboxId
from bot.features.effects import ChangeEntry, Effects, Reply
from bot.features.entries.contents import (
    ChangeWhich,
    CountedLine,
    NotCounted,
    PartlyCounted,
    Question,
    YesToWhich,
)
from bot.features.entries.correction_rules import to_correct
from bot.features.entries.mend_rules import meant, mended, waits_for
from bot.features.entries.question_rules import ask_again, asked_before_reminder, no_answer_of_yes, which_yes
from bot.features.entries.rules import Confidence, Told, tell
from bot.parsing.mends import Mend
from bot.replies.reading import Entry, Reading
from tests.features.states import NOW, entry, reminder, state

HOURS = timedelta(hours=1)
BATH = entry(1, 10, activity="bath", logged_at=NOW - 26 * HOURS)
TUMMY = entry(3, logged_at=NOW - timedelta(minutes=5))
FOOTBALL = entry(4, 5, activity="football_hold", side="left", logged_at=NOW - timedelta(minutes=5))
SENT_NOW = reminder(sent_at=NOW - timedelta(minutes=1))


def changes(effects: Effects) -> list[ChangeEntry]:
    return [each for each in effects if isinstance(each, ChangeEntry)]


def contents(effects: Effects) -> list[object]:
    return [each.content for each in effects if isinstance(each, Reply)]


@pytest.mark.parametrize(
    ("entries", "mend", "found"),
    [
        ((TUMMY,), Mend(minutes=8), [3]),
        ((TUMMY, FOOTBALL), Mend(side="right"), [4]),
        ((TUMMY, FOOTBALL), Mend(minutes=8), [3, 4]),
        ((TUMMY, FOOTBALL), Mend(days=-1), [3, 4]),
        ((BATH,), Mend(minutes=8), []),
        ((BATH,), Mend(side="left"), [1]),
        ((), Mend(minutes=8), []),
    ],
)
def test_a_correction_means_what_was_told_last(entries: Any, mend: Mend, found: list[int]) -> None:
    assert [each.id for each in meant(state(entries=entries), (), mend)] == found


@pytest.mark.parametrize("mend", [Mend(minutes=8), Mend(side="left")])
def test_after_a_new_reminder_minutes_and_sides_are_of_the_reminder(mend: Mend) -> None:
    after = state(entries=(TUMMY,), reminders=(SENT_NOW,))

    assert meant(after, (), mend) == ()
    assert meant(after, (TUMMY,), mend) == (TUMMY,)
    assert meant(after, (), Mend(days=-1)) == (TUMMY,)


def test_the_other_side_is_the_one_that_was_not_told() -> None:
    effects = mended(
        state(entries=(FOOTBALL,)),
        (FOOTBALL,),
        Mend(side="other"),
        message_id=MessageId(41),
        line=OutboxId(66),
    )

    assert changes(effects) == [ChangeEntry(entry_id=EntryId(4), side="right")]


def test_a_wrong_day_moves_all_that_one_message_told() -> None:
    effects = mended(
        state(entries=(TUMMY, FOOTBALL)),
        (TUMMY, FOOTBALL),
        Mend(days=-1),
        message_id=MessageId(41),
        line=OutboxId(66),
    )

    assert [(each.entry_id, each.local_date) for each in changes(effects)] == [
        (3, date(2026, 3, 1)),
        (4, date(2026, 3, 1)),
    ]
    assert len(contents(effects)) == 1


def test_minutes_that_may_be_of_two_entries_are_asked_about() -> None:
    effects = mended(
        state(entries=(TUMMY, FOOTBALL)),
        (TUMMY, FOOTBALL),
        Mend(minutes=8),
        message_id=MessageId(41),
        line=OutboxId(66),
    )

    assert changes(effects) == []
    assert contents(effects) == [ChangeWhich((TUMMY, FOOTBALL))]


def test_an_entry_of_another_activity_is_meant_only_where_the_words_name_it() -> None:
    told = state(entries=(BATH,))
    football = Entry("football_hold", None, "left")

    assert to_correct(told, [], football) is None
    assert to_correct(told, [], football, frozenset({"football_hold", "bath"})) == BATH
    assert to_correct(state(entries=(FOOTBALL, TUMMY)), [], football) == FOOTBALL


# ---------------------------------------------------------------- what is clear counts


def told_of(*entries: Entry, **changes: Any) -> Told:
    reading = Reading(entries=entries, confirm=True)
    return Told(
        message_id=MessageId(41), text="", chat_message_id=9, reading=reading, reminder=None, **changes
    )


def test_what_is_clear_counts_while_the_missing_part_is_asked_for() -> None:
    told = told_of(Entry("football_hold", 5, "left"), Entry("side_lying", None), Entry("tummy_time", 30))

    (content,) = contents(tell(state(), told, Confidence()).effects)

    assert isinstance(content, PartlyCounted)
    assert [each.activity for each in content.counted.entries] == ["football_hold", "tummy_time"]
    assert isinstance(content.question, Question)
    assert [each.activity for each in content.question.waiting] == ["side_lying"]


def test_a_doubt_about_whole_entries_is_a_doubt_about_each() -> None:
    (content,) = contents(
        tell(state(), told_of(Entry("tummy_time", 6), Entry("tummy_time", 7)), Confidence()).effects
    )

    assert not isinstance(content, PartlyCounted | CountedLine)


def test_what_was_written_before_midnight_is_of_that_day() -> None:
    told = Told(
        message_id=MessageId(41),
        text="tummy 10",
        chat_message_id=9,
        reading=Reading(entries=(Entry("tummy_time", 10),)),
        reminder=None,
        written=NOW - timedelta(hours=12),
    )

    (content,) = contents(tell(state(), told, Confidence()).effects)

    assert isinstance(content, CountedLine)
    assert content.entries[0].local_date == (NOW - timedelta(days=1)).date()
    assert content.entries[0].at < told.written if told.written else False


# ---------------------------------------------------------------- a yes to what


def test_a_bare_yes_after_a_newer_reminder_counts_neither_unasked() -> None:
    waiting = entry(5, 5, state="asked", logged_at=NOW - 2 * HOURS)
    at_hand = state(entries=(waiting,), reminders=(SENT_NOW,))

    assert asked_before_reminder(at_hand) == waiting
    assert contents(which_yes(at_hand, MessageId(41))) == [YesToWhich(waiting, SENT_NOW)]


@pytest.mark.parametrize(
    "changed",
    [
        {"reminders": ()},
        {"entries": (entry(5, None, state="asked", logged_at=NOW - HOURS),)},
        {"entries": (entry(5, 5, logged_at=NOW - HOURS),)},
        {"entries": (entry(5, 5, state="asked", logged_at=NOW - 13 * HOURS),)},
    ],
)
def test_where_only_one_thing_is_open_a_yes_is_plain(changed: dict[str, Any]) -> None:
    waiting = entry(5, 5, state="asked", logged_at=NOW - HOURS)
    at_hand = state(**({"entries": (waiting,), "reminders": (SENT_NOW,)} | changed))

    assert asked_before_reminder(at_hand) is None


def test_a_yes_is_no_answer_to_how_many_minutes_and_counts_no_older_reminder() -> None:
    waiting = entry(5, None, state="asked", logged_at=NOW - HOURS)
    sent_before = reminder(sent_at=NOW - 2 * HOURS)
    at_hand = state(entries=(waiting,), reminders=(sent_before,))

    assert no_answer_of_yes(at_hand)
    assert contents(which_yes(at_hand, MessageId(41))) == [Question((waiting,))]
    assert not no_answer_of_yes(state(entries=(waiting,), reminders=(SENT_NOW,)))
    assert not no_answer_of_yes(state(entries=(replace(waiting, logged_at=NOW - 13 * HOURS),)))


@pytest.mark.parametrize(("minutes_ago", "found"), [(5, [3]), (45, [])])
def test_a_side_alone_belongs_to_what_was_told_just_before(minutes_ago: int, found: list[int]) -> None:
    told = replace(TUMMY, logged_at=NOW - timedelta(minutes=minutes_ago))

    assert [each.id for each in meant(state(entries=(told,)), (), Mend(side="left", added=True))] == found


def test_minutes_ask_again_mean_the_entry_that_was_asked_about_last() -> None:
    waits = entry(9, 7, activity=None, state="asked", logged_at=NOW - timedelta(minutes=1))
    told = state(entries=(TUMMY, waits))

    assert waits_for(told, Mend(minutes=6)) == waits
    assert waits_for(told, Mend(side="left")) is None
    assert waits_for(state(entries=(replace(waits, logged_at=NOW - HOURS), TUMMY)), Mend(minutes=6)) is None

    effects = ask_again(told, waits, 6, message_id=MessageId(50), line=OutboxId(60))
    assert [(each.entry_id, each.minutes) for each in changes(effects)] == [(EntryId(9), 6)]
    assert contents(effects) == [Question((replace(waits, minutes=6),))]


def test_zero_minutes_of_nothing_that_is_named_are_not_asked_about() -> None:
    told = Told(
        message_id=MessageId(50),
        text="zero",
        chat_message_id=1,
        reading=Reading(entries=(Entry(None, 0),), confirm=True),
        reminder=None,
    )

    assert contents(tell(state(), told, Confidence()).effects) == [NotCounted()]
