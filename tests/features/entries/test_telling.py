"""What a message tells, decided from a family's state: what is kept, what is said, what is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from bot.concerns.finding import Concern
from bot.domain.entries import LogEntry
from bot.domain.ids import CarerId, ChatId, EntryId, FamilyId, MessageId, OutboxId, ReminderId
from bot.domain.messages import Message
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.features.effects import (
    AddEntries,
    AskConfidence,
    EditCopy,
    EditLine,
    Effect,
    HoldReminders,
    MarkReminder,
    NoteObservation,
    NoteSkip,
    PairEntries,
    Reply,
    RequestReplan,
    Unpin,
)
from bot.features.entries.contents import CountedLine, Noted, NotNow, Question, TwinQuestion, WithSeen
from bot.features.entries.rules import Confidence, Decision, Told, tell
from bot.features.reminders import rules as reminders
from bot.features.state import CarerState
from bot.replies.reading import Entry, Observation, Reading, Request
from tests.features.states import (
    GRANDPA,
    GRANDPA_CHAT,
    MUM_CHAT,
    NOW,
    TODAY,
    copy,
    entry,
    reminder,
    state,
    yesterday,
)

TUMMY = Entry("tummy_time", 12, None)
ROLLED = Observation("roll", None)


def told(reading: Reading, **changes: Any) -> Told:
    values: dict[str, Any] = {
        "message_id": 41,
        "text": "12 min",
        "chat_message_id": 900,
        "reading": reading,
        "reminder": None,
    }
    return Told(**(values | changes))


def decided(at: CarerState, reading: Reading, **changes: Any) -> Decision:
    return tell(at, told(reading, **changes), Confidence())


def only(effects: tuple[Effect, ...], kind: type[Any]) -> Any:
    found = [each for each in effects if isinstance(each, kind)]
    assert len(found) == 1, effects
    return found[0]


def kinds(decision: Decision) -> list[str]:
    return [type(each).__name__ for each in decision.effects]


def test_minutes_are_counted_and_the_day_is_replanned() -> None:
    decision = decided(state(), Reading(entries=(TUMMY,)))

    assert kinds(decision) == ["AddEntries", "RequestReplan", "Reply"]
    assert decision.told
    new = only(decision.effects, AddEntries).entries[0]
    assert (new.activity, new.minutes, new.state, new.local_date) == ("tummy_time", 12, "counted", TODAY)
    assert new.at == NOW - timedelta(minutes=12)
    line = only(decision.effects, Reply)
    assert (line.content, line.answers, line.about) == (CountedLine((new,)), 41, Subject.of("message", 41))


def test_an_answer_to_a_reminder_closes_it_everywhere() -> None:
    sent = reminder()
    at = state(reminders=(sent,), copies=(copy(1), copy(2, GRANDPA_CHAT)))

    decision = decided(at, Reading(entries=(TUMMY,)), reminder=sent)

    assert MarkReminder(ReminderId(7), "answered") in decision.effects
    assert EditLine(OutboxId(1), None, sent=True) in decision.effects
    done = EditCopy(OutboxId(2), ChatId(GRANDPA_CHAT), GRANDPA, reminders.DoneBy("Mum", "tummy_time"))
    assert done in decision.effects
    new = only(decision.effects, AddEntries).entries[0]
    assert (new.reminder_id, new.at) == (7, sent.due_at)


def test_another_activity_than_the_reminders_leaves_it_open() -> None:
    decision = decided(
        state(reminders=(reminder(),)),
        Reading(entries=(Entry("football_hold", 5, "left"),)),
        reminder=reminder(),
    )

    assert not [each for each in decision.effects if isinstance(each, MarkReminder)]
    assert only(decision.effects, AddEntries).entries[0].reminder_id is None


def test_yesterdays_minutes_go_to_yesterday() -> None:
    decision = decided(state(), Reading(entries=(replace(TUMMY, day_offset=-1),)))

    assert only(decision.effects, AddEntries).entries[0].local_date == yesterday()


@pytest.mark.parametrize(
    "reading",
    [
        Reading(entries=(Entry("tummy_time", None, None),)),
        Reading(entries=(Entry(None, 12, None),)),
        Reading(entries=(TUMMY,), confirm=True),
    ],
)
def test_what_is_not_sure_is_asked_about_and_does_not_count(reading: Reading) -> None:
    decision = decided(state(), reading)

    assert kinds(decision) == ["AddEntries", "Reply"]
    new = only(decision.effects, AddEntries).entries
    assert {each.state for each in new} == {"asked"}
    assert only(decision.effects, Reply).content == Question(new)


def test_a_bare_done_without_a_reminder_asks_what() -> None:
    decision = decided(state(), Reading(confirm=True))

    new = only(decision.effects, AddEntries).entries
    assert [(each.activity, each.minutes, each.state) for each in new] == [(None, None, "asked")]


def test_the_rest_of_todays_minutes_are_told_with_the_line() -> None:
    decision = decided(state(entries=(entry(minutes=11),)), Reading(entries=(TUMMY,)))

    assert only(decision.effects, Reply).content.total == 23


def test_a_reminder_answered_twice_is_asked_about() -> None:
    answered = reminder(state="answered")
    at = state(reminders=(answered,), entries=(entry(reminder_id=7),))

    decision = decided(at, Reading(entries=(TUMMY,)), reminder=answered)

    question = only(decision.effects, Reply).content
    assert (type(question), [each.minutes for each in question.again]) == (Question, [10])


@pytest.mark.parametrize(("seconds", "asked"), [(30, True), (300, False)])
def test_the_very_same_words_a_moment_later_are_asked_about(seconds: int, asked: bool) -> None:
    at = state(entries=(entry(logged_at=NOW - timedelta(seconds=seconds)),))
    before = Message(
        MessageId(40),
        FamilyId("f1"),
        CarerId("c1"),
        ChatId(MUM_CHAT),
        899,
        "text",
        "12 MIN ",
        NOW - timedelta(seconds=seconds),
        None,
        None,
        None,
    )

    decision = decided(at, Reading(entries=(TUMMY,)), before=before)

    assert isinstance(only(decision.effects, Reply).content, Question if asked else CountedLine)


def test_an_edited_message_changes_its_line_in_place() -> None:
    decision = decided(state(), Reading(entries=(TUMMY,)), answer_id=66)

    assert only(decision.effects, EditLine).outbox_id == 66
    assert not [each for each in decision.effects if isinstance(each, Reply)]


def test_what_was_seen_is_kept_and_named() -> None:
    decision = decided(state(), Reading(observations=(ROLLED,)))

    assert decision.effects == (
        NoteObservation(ROLLED, MessageId(41), None),
        Reply(content=Noted((ROLLED,)), about=Subject.of("message", 41), answers=MessageId(41)),
    )


@pytest.mark.parametrize(
    ("named", "of"),
    [
        ((), "tummy_time"),
        (("bath",), "bath"),
        (("tummy_time",), "tummy_time"),
        (("bath", "tummy_time"), "tummy_time"),
        (("bath", "reaching"), None),
        ((None,), "tummy_time"),
    ],
)
def test_how_it_went_is_noted_of_the_activity_that_is_named(
    named: tuple[str | None, ...], of: str | None
) -> None:
    sent = reminder(activity="tummy_time")
    entries = tuple(Entry(activity, 5, None) for activity in named)
    decision = decided(
        state(reminders=(sent,)), Reading(entries=entries, observations=(ROLLED,)), reminder=sent
    )

    assert only(decision.effects, NoteObservation) == NoteObservation(ROLLED, MessageId(41), of)


def test_words_that_were_not_understood_are_told_to_stay_for_the_therapist() -> None:
    decision = decided(state(), Reading(entries=(TUMMY,), unread="I'll call grandma"))

    assert only(decision.effects, Reply).content.rest_kept


# ---------------------------------------------------------------- skips


def test_asleep_holds_reminders_back_and_closes_the_open_one() -> None:
    sent = reminder()
    asked_for = reminder(8, state="planned", sent_at=None, pinned=True)
    at = state(reminders=(sent, asked_for), copies=(copy(1),))
    decision = decided(at, Reading(skipped="asleep"), reminder=sent)

    assert NoteSkip("asleep", MessageId(41), sent) in decision.effects
    assert Unpin("tummy_time", TODAY) in decision.effects
    assert MarkReminder(ReminderId(7), "skipped", "asleep") in decision.effects
    hold = only(decision.effects, HoldReminders)
    assert hold.why == "asleep"
    assert hold.until >= NOW + reminders.SHORTEST_SLEEP


@pytest.mark.parametrize(
    ("reason", "content"),
    [
        ("unwell", reminders.Unwell()),
        ("away", reminders.Away()),
        ("no_time", NotNow(None)),
        ("refused", NotNow(None)),
    ],
)
def test_a_skip_is_answered_by_its_reason(reason: Any, content: Content) -> None:
    decision = decided(state(), Reading(skipped=reason))

    assert only(decision.effects, Reply).content == WithSeen(content, ())
    assert RequestReplan() in decision.effects


# ---------------------------------------------------------------- beside a concern


URGENT = Concern("act_now", ("blue",))


@pytest.mark.parametrize(
    "reading",
    [
        Reading(concern=URGENT, confirm=True),
        Reading(concern=URGENT, entries=(Entry("tummy_time", None, None),)),
        Reading(concern=URGENT, entries=(TUMMY,), confirm=True),
    ],
)
def test_beside_an_urgent_concern_nothing_is_asked_and_nothing_unsure_is_kept(reading: Reading) -> None:
    assert decided(state(), reading) == Decision((), False)


def test_beside_an_urgent_concern_sleep_holds_reminders_back_without_a_word() -> None:
    decision = decided(state(), Reading(concern=URGENT, skipped="asleep"))

    assert only(decision.effects, HoldReminders).why == "asleep"
    assert not [each for each in decision.effects if isinstance(each, Reply)]


def test_illness_of_the_same_day_offers_a_pause() -> None:
    reading = Reading(concern=Concern("same_day", ("fever",)), skipped="unwell")

    assert Reply(content=reminders.PauseOffer(how_long=False)) in decided(state(), reading).effects


def test_what_is_asked_for_tells_nothing_by_itself() -> None:
    assert decided(state(), Reading(request=Request("week"))) == Decision((), False)


# ---------------------------------------------------------------- at most one question more


def like(minutes_ago: float = 30, **changes: Any) -> LogEntry:
    began = NOW - timedelta(minutes=12 + minutes_ago)
    return entry(9, 12, carer_id="c2", message_id=39, at=began, **changes)


def test_two_carers_who_log_the_same_are_asked_about_once() -> None:
    other = like()
    decision = decided(state(entries=(other,)), Reading(entries=(TUMMY,)))

    assert PairEntries(EntryId(-1), EntryId(9)) in decision.effects
    question = [each.content for each in decision.effects if isinstance(each, Reply)][-1]
    assert isinstance(question, TwinQuestion)
    assert (question.other, question.carer) == (other, "Grandpa")


@pytest.mark.parametrize(
    "other",
    [
        like(minutes_ago=60),
        replace(like(), minutes=11),
        replace(like(), activity="football_hold"),
        replace(like(), state="undone"),
        replace(like(), carer_id=CarerId("c1")),
        replace(like(), twin_of=EntryId(4)),
        replace(like(), local_date=yesterday()),
    ],
)
def test_what_is_not_alike_is_not_asked_about(other: LogEntry) -> None:
    decision = decided(state(entries=(other,)), Reading(entries=(TUMMY,)))

    assert not [each for each in decision.effects if isinstance(each, PairEntries)]


def test_after_three_tries_the_carer_is_asked_how_sure_they_feel() -> None:
    tries = (NOW - timedelta(days=2), NOW - timedelta(days=1))
    confidence = Confidence(tries={"tummy_time": tries}, known_activities=frozenset({"tummy_time"}))

    decision = tell(state(), told(Reading(entries=(TUMMY,))), confidence)

    asked = only(decision.effects, AskConfidence)
    assert (asked.activity, asked.kind) == ("tummy_time", "ruler")


def test_a_first_try_is_followed_by_no_question() -> None:
    confidence = Confidence(known_activities=frozenset({"tummy_time"}))

    decision = tell(state(), told(Reading(entries=(TUMMY,))), confidence)

    assert not [each for each in decision.effects if isinstance(each, AskConfidence)]
