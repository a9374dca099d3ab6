"""Corrections, undo and open questions, decided from a family's state."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.domain.entries import LogEntry
from bot.domain.ids import ChatId, EntryId, MessageId, OutboxId, ReminderId
from bot.features.effects import (
    ChangeEntry,
    EditCopy,
    EditLine,
    EndDialog,
    MarkReminder,
    ReopenReminder,
    Reply,
    RequestReplan,
    SetEntries,
)
from bot.features.entries.contents import CountedLine, NotCounted, NothingTo, Question, Undone
from bot.features.entries.correction_rules import corrected, minutes_answered, to_correct, undo
from bot.features.entries.entry_rules import take_back
from bot.features.entries.question_rules import answer_in_words, go_on, waiting_for_answer
from bot.features.entries.rules import Confidence
from bot.features.reminders.rules import ReminderShown
from bot.replies.reading import Entry, Reading
from tests.features.states import MUM, MUM_CHAT, NOW, PLAN, copy, entry, reminder, state

FIFTEEN = Entry("tummy_time", 15, None)


def contents(effects: tuple[Any, ...]) -> list[object]:
    return [each.content for each in effects if isinstance(each, Reply)]


def test_of_what_one_message_logged_a_correction_means_the_entry_of_its_activity() -> None:
    tummy, football = entry(3), entry(4, 5, activity="football_hold", side="left")

    assert to_correct(state(entries=(tummy, football)), [], FIFTEEN) == tummy
    assert to_correct(state(), [tummy, football], FIFTEEN) == tummy
    assert to_correct(state(), [tummy, football], Entry(None, 15, None)) == football


def test_nothing_older_than_two_days_is_corrected() -> None:
    old = entry(logged_at=NOW - timedelta(days=3))

    assert to_correct(state(entries=(old,)), [], FIFTEEN) is None
    assert to_correct(state(), [], FIFTEEN) is None
    assert to_correct(state(entries=(entry(),)), [], None) is None


def test_a_correction_changes_the_entry_and_both_lines() -> None:
    target = entry()
    effects = corrected(
        state(entries=(target,)), target, FIFTEEN, message_id=MessageId(41), line=OutboxId(66)
    )

    assert effects[:2] == (
        ChangeEntry(entry_id=EntryId(3), minutes=15, activity="tummy_time"),
        RequestReplan(),
    )
    line, reply = effects[2], effects[3]
    assert isinstance(line, EditLine)
    assert isinstance(reply, Reply)
    assert (line.outbox_id, reply.answers, reply.corrects, reply.retells) == (66, 41, 3, 40)
    assert isinstance(reply.content, CountedLine)
    assert [each.minutes for each in reply.content.entries] == [15]


def test_undo_takes_back_all_that_the_last_message_logged() -> None:
    both = (entry(3), entry(4, 5, activity="football_hold", side="left"))

    effects = undo(state(entries=both), [], OutboxId(66))

    assert effects[0] == SetEntries((EntryId(3), EntryId(4)), "undone")
    assert EditLine(OutboxId(66), Undone(both, redo=False)) in effects
    assert contents(effects) == [Undone(both)]


def test_there_may_be_nothing_to_undo() -> None:
    assert contents(undo(state(), [], None)) == [NothingTo(undo=True)]
    old = entry(logged_at=NOW - timedelta(days=3))
    assert contents(undo(state(entries=(old,)), [], None)) == [NothingTo(undo=True)]


def test_an_answer_taken_back_opens_the_last_reminder_again_in_every_chat() -> None:
    answered = reminder(state="answered")
    pressed = entry(reminder_id=7, message_id=None)
    at = state(reminders=(answered,), entries=(pressed,), copies=(copy(1),))

    effects, reopened = take_back(at, [pressed])

    assert reopened == (7,)
    assert ReopenReminder(ReminderId(7)) in effects
    assert EditCopy(OutboxId(1), ChatId(MUM_CHAT), MUM, ReminderShown(answered, PLAN)) in effects


@pytest.mark.parametrize(
    "later",
    [
        reminder(8, sent_at=NOW - timedelta(minutes=5)),
        None,
    ],
)
def test_a_reminder_that_another_overtook_or_that_is_old_counts_as_unanswered(later: Any) -> None:
    sent_at = NOW - timedelta(minutes=30) if later else NOW - timedelta(hours=4)
    answered = reminder(state="answered", sent_at=sent_at)
    pressed = entry(reminder_id=7)
    at = state(reminders=(answered, *([later] if later else [])), entries=(pressed,))

    effects, reopened = take_back(at, [pressed])

    assert reopened == ()
    assert MarkReminder(ReminderId(7), "expired") in effects


def test_a_reminder_that_something_else_still_answers_stays_answered() -> None:
    answered = reminder(state="answered")
    first, second = entry(3, reminder_id=7), entry(4, reminder_id=7, message_id=45)

    effects, reopened = take_back(state(reminders=(answered,), entries=(first, second)), [first])

    assert (effects, reopened) == ((SetEntries((EntryId(3),), "undone"), RequestReplan()), ())


# ---------------------------------------------------------------- open questions


def asked(**changes: Any) -> LogEntry:
    return entry(5, state="asked", logged_at=NOW - timedelta(minutes=5), **changes)


def answer(waiting: LogEntry, text: str, alone: Reading = Reading(), of_question: Reading = Reading()) -> Any:  # noqa: B008 - frozen
    at = state(entries=(waiting,))
    return answer_in_words(
        at, waiting, text, alone, of_question, Confidence(), message_id=MessageId(42), line=OutboxId(66)
    )


def test_minutes_that_are_no_more_than_a_guess_are_asked_about_anew() -> None:
    guess = Reading(entries=(Entry(None, 6),), confirm=True)
    of_it = Reading(entries=(Entry("tummy_time", 6),), confirm=True)

    change, _, said = answer(asked(), "6? 7?", guess, of_it)

    assert (change.minutes, said.content.waiting[0].minutes) == (6, 6)
    assert isinstance(said.content, Question)


def test_half_of_what_was_asked_about_counts() -> None:
    half = Reading(entries=(Entry("tummy_time", 5),))

    changed = answer(asked(), "half of it", Reading(confirm=True), half)

    assert changed[0] == ChangeEntry(entry_id=EntryId(5), activity="tummy_time", minutes=5)
    assert any(isinstance(each, SetEntries) and each.state == "counted" for each in changed)
    assert answer(asked(minutes=None), "half of it", Reading(confirm=True), half) is None


def test_a_yes_counts_what_was_asked_about() -> None:
    effects = answer(asked(), "Yes!")

    assert effects[0] == SetEntries((EntryId(5),), "counted")
    assert EditLine(OutboxId(66), None) in effects
    assert [type(each) for each in contents(effects)] == [CountedLine]


def test_a_no_drops_it() -> None:
    effects = answer(asked(), "no.")

    assert effects[0] == SetEntries((EntryId(5),), "undone")
    assert contents(effects) == [NotCounted()]


def test_the_missing_minutes_complete_it() -> None:
    effects = answer(asked(minutes=None), "8", Reading(entries=(Entry(None, 8, None),)))

    assert effects[0] == ChangeEntry(entry_id=EntryId(5), activity="tummy_time", minutes=8)
    assert [type(each) for each in contents(effects)] == [CountedLine]


def test_a_yes_is_no_answer_to_how_many() -> None:
    assert answer(asked(minutes=None), "yes") is None


@pytest.mark.parametrize(
    "alone",
    [
        Reading(),
        Reading(entries=(Entry("football_hold", 8, "left"),)),
        Reading(entries=(Entry(None, 8, None, day_offset=-1),)),
        Reading(entries=(Entry(None, 8, None), Entry(None, 5, None))),
    ],
)
def test_words_about_something_else_are_no_answer(alone: Reading) -> None:
    assert answer(asked(minutes=None), "8 with dad", alone) is None


def test_what_one_part_misses_is_asked_next() -> None:
    first, second = asked(), entry(6, None, state="asked", activity="football_hold")

    effects, content = go_on(state(entries=(first, second)), first)

    assert effects == ()
    assert content == Question((first, second))


def test_a_reminder_that_came_since_is_answered_before_an_older_question() -> None:
    waiting = asked()

    assert waiting_for_answer(state(entries=(waiting,))) == waiting
    newer = reminder(sent_at=NOW - timedelta(minutes=1))
    assert waiting_for_answer(state(entries=(waiting,), reminders=(newer,))) is None
    old = entry(5, state="asked", logged_at=NOW - timedelta(hours=2))
    assert waiting_for_answer(state(entries=(old,))) is None


def test_a_number_answers_how_many_minutes_while_the_question_is_fresh() -> None:
    target, alone = entry(), Reading(entries=(Entry(None, 15, None),))
    ask = NOW - timedelta(minutes=1)

    effects = minutes_answered(
        state(entries=(target,)), target, alone, ask, message_id=MessageId(41), line=OutboxId(66)
    )
    assert effects is not None
    assert effects[0] == EndDialog()
    assert ChangeEntry(entry_id=EntryId(3), minutes=15) in effects

    late = NOW - timedelta(hours=2)
    assert minutes_answered(state(), target, alone, late, message_id=MessageId(41), line=OutboxId(66)) is None
    newer = state(reminders=(reminder(sent_at=NOW),))
    assert minutes_answered(newer, target, alone, ask, message_id=MessageId(41), line=OutboxId(66)) is None
    assert minutes_answered(state(), None, alone, ask, message_id=MessageId(41), line=OutboxId(66)) is None
