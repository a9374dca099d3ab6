"""What a message tells: minutes, what was seen, why something was not done. Pure: a state in, effects out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from bot.concerns.advice import offers_pause
from bot.domain.confidence import Asked
from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId, OutboxId
from bot.domain.messages import Message
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.content import Content
from bot.features.effects import (
    AddEntries,
    AskConfidence,
    EditLine,
    Effect,
    Effects,
    NoteObservation,
    PairEntries,
    Reply,
)
from bot.features.entries.confidence_rules import HowSure, TellHow, next_question
from bot.features.entries.contents import (
    NotCounted,
    Noted,
    NotNow,
    PartlyCounted,
    Question,
    TimesSoFar,
    TwinQuestion,
    WithSeen,
)
from bot.features.entries.entry_rules import LONGEST_SESSION, counted_line, new_entry, settle
from bot.features.entries.times_rules import repeated, times_so_far
from bot.features.reminders import rules as reminders
from bot.features.state import CarerState
from bot.replies.reading import Entry, Reading

LIKE_WITHIN = timedelta(minutes=45)  # two carers who log the same within this may mean one session
# The same words within this are taken for one message sent twice, and asked about.
SAME_WORDS_WITHIN = timedelta(minutes=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A kept message as it was read.

    answer_id: the outbox id of the line that answered an earlier wording of it; that changes in place.
    before: the message that the carer's last counted entries came from, where it was sent just before.
    written: when the carer wrote it, which may be long before it is handled; None: now.
    """

    message_id: MessageId
    text: str
    chat_message_id: int | None
    reading: Reading
    reminder: Reminder | None
    answer_id: OutboxId | None = None
    before: Message | None = None
    written: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Confidence:
    """What was asked of this carer before. tries: when each counted entry of an activity was logged; shown: when its
    card was last shown to them. known_activities: those that there are cards for."""

    asked: Sequence[Asked] = ()
    tries: Mapping[str, Sequence[datetime]] = field(default_factory=dict)
    shown: Mapping[str, datetime | None] = field(default_factory=dict)
    known_activities: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Decision:
    """told: the message told something, and its line says so."""

    effects: Effects
    told: bool


def tell(state: CarerState, told: Told, confidence: Confidence) -> Decision:
    """Count entries, note observations and a skip.

    Beside an urgent concern nothing is asked and nothing light is said: what is not sure stays in the concern's words.
    """
    reading = told.reading
    noted: Effects = tuple(
        NoteObservation(seen, told.message_id, _told_of(told)) for seen in reading.observations
    )
    urgent = reading.concern is not None and reading.concern.urgency != "tell_therapist"
    if urgent and not (reading.entries and is_sure(reading)):
        return Decision(noted + _beside_an_urgent_concern(state, told), False)
    if reading.entries and all(each.activity is None and each.minutes == 0 for each in reading.entries):
        return Decision((*noted, line(told, NotCounted())), True)
    if reading.entries:
        return Decision(noted + _count(state, told, confidence), True)
    if reading.skipped is not None:
        return Decision(noted + _skip(state, told), True)
    if reading.observations:
        return Decision((*noted, line(told, Noted(reading.observations))), True)
    if reading.confirm and reading.unclear is None and reading.request is None and not reading.concern:
        entry = new_entry(state, Entry(activity=None, minutes=None), told.message_id, None, "asked", 1)
        return Decision((*noted, AddEntries((entry,)), line(told, Question((entry,)))), True)
    return Decision(noted, False)


def _told_of(told: Told) -> str | None:
    """Return the activity of which a message says how it went: the one that it names, else the one that was reminded of."""
    reminded = told.reminder.activity if told.reminder else None
    named = {each.activity for each in told.reading.entries if each.activity is not None}
    if not named or reminded in named:
        return reminded
    return named.pop() if len(named) == 1 else None


def line(told: Told, content: Content) -> Effect:
    """Answer a message; the answer to an edited one changes in place."""
    if told.answer_id is not None:
        return EditLine(told.answer_id, content)
    return Reply(content=content, about=Subject.of("message", told.message_id), answers=told.message_id)


def _beside_an_urgent_concern(state: CarerState, told: Told) -> Effects:
    reading = told.reading
    effects: Effects = ()
    if reading.skipped is not None:
        effects = reminders.skip(state, told.reminder, reading.skipped, message_id=told.message_id)
    if reading.skipped == "asleep":
        effects += reminders.asleep(state)[0]  # reminders are held back, without a word
    found = reading.concern
    if found and found.urgency == "same_day" and (reading.skipped == "unwell" or offers_pause(found)):
        effects += (Reply(content=reminders.PauseOffer(how_long=False)),)
    return effects


def _skip(state: CarerState, told: Told) -> Effects:
    reading = told.reading
    assert reading.skipped is not None
    effects = reminders.skip(state, told.reminder, reading.skipped, message_id=told.message_id)
    content: Content
    match reading.skipped:
        case "asleep":
            held, content = reminders.asleep(state)
            effects += held
        case "unwell":
            content = reminders.Unwell()
        case "away":
            content = reminders.Away()
        case _:
            content = NotNow(told.reminder.activity if told.reminder else None)
    return (*effects, line(told, WithSeen(content, reading.observations)))


# ---------------------------------------------------------------- counting


def _count(state: CarerState, told: Told, confidence: Confidence) -> Effects:
    reading = told.reading
    again = _counted_before(state, told)
    clear = () if again else _clear(reading)
    new, so_far = _new(state, told, clear)
    if not new and so_far is not None:
        return (line(told, so_far),)
    added: Effects = (AddEntries(new),)
    counted = tuple(each for each in new if each.state == "counted")
    waiting = tuple(each for each in new if each.state == "asked")
    if not counted:
        return (*added, line(told, Question(new, again, reading.observations)))
    state = state.with_entries(new)
    settled, entries = settle(state, counted)
    content = counted_line(state, entries, reading, rest_kept=bool(reading.unread))
    if waiting or so_far is not None:
        question = Question(waiting) if waiting or so_far is None else so_far
        return (*added, *settled, line(told, PartlyCounted(content, question)))
    effects: Effects = (*added, *settled, line(told, content))
    if reading.concern is None and reading.unclear is None:
        effects += follow_up(state, entries, confidence)
    return effects


def _new(
    state: CarerState, told: Told, clear: tuple[Entry, ...]
) -> tuple[tuple[LogEntry, ...], TimesSoFar | None]:
    """Return the log entries that a message makes, and what is said of a day that had as many times already."""
    new: list[LogEntry] = []
    so_far: TimesSoFar | None = None
    for entry in told.reading.entries:
        first = new_entry(
            state,
            entry,
            told.message_id,
            told.reminder if _answers(entry, told.reminder) else None,
            "counted" if entry in clear else "asked",
            len(new) + 1,
            written=told.written,
        )
        if entry not in clear:
            new.append(first)
            continue
        new += repeated(state, entry, first)
        so_far = so_far or times_so_far(state, entry, first)
    return tuple(new), so_far


def is_sure(reading: Reading) -> bool:
    return not reading.confirm and all(entry.whole for entry in reading.entries)


def _clear(reading: Reading) -> tuple[Entry, ...]:
    """Return the entries that count at once: all where nothing is in doubt, else those beside one that misses a part.

    A doubt about a message whose entries are all whole is a doubt about each of them.
    """
    if is_sure(reading):
        return reading.entries
    whole = tuple(each for each in reading.entries if each.whole)
    long = any(timedelta(minutes=each.minutes or 0) > LONGEST_SESSION for each in whole)
    return whole if len(whole) < len(reading.entries) and not long else ()


def _answers(entry: Entry, reminder: Reminder | None) -> bool:
    return reminder is not None and entry.activity == reminder.activity and entry.day_offset == 0


def _counted_before(state: CarerState, told: Told) -> tuple[LogEntry, ...]:
    """Return what a reminder has had as its answer already, where a message answers it once more; or what the same words
    sent a moment ago told, as a phone without a network does. What is told of the day in all is no second answer."""
    twice = _said_twice(state, told)
    if twice:
        return twice
    entries, reminder = told.reading.entries, told.reminder
    if reminder is None or len(entries) != 1 or entries[0].of_day or not _answers(entries[0], reminder):
        return ()
    return tuple(state.counted_of_reminder(reminder.id))


def _said_twice(state: CarerState, told: Told) -> tuple[LogEntry, ...]:
    last, before = state.last_counted(), told.before
    if not told.reading.entries or not last or before is None or last[0].message_id != before.id:
        return ()
    if all(each.of_day for each in told.reading.entries):
        return ()
    same = (
        before.chat_id == state.chat_id
        and before.message_id != told.chat_message_id
        and before.text.strip().casefold() == told.text.strip().casefold()
        and state.now - before.at <= SAME_WORDS_WITHIN
    )
    return tuple(last) if same else ()


# ---------------------------------------------------------------- at most one question more


def follow_up(state: CarerState, entries: Sequence[LogEntry], confidence: Confidence) -> Effects:
    """Ask whether two like entries were one session; if there is nothing to ask, perhaps how sure the carer feels."""
    for entry in entries:
        if entry.minutes is None:
            continue  # of what is counted by times there are several a day, each carer's own
        like = [each for each in state.similar(entry, LIKE_WITHIN) if each.twin_of is None]
        if entry.twin_of is None and like:
            other = like[-1]
            names = {each.id: each.name for each in state.carers}
            question = TwinQuestion(entry, other, names.get(other.carer_id, other.carer_id))
            return PairEntries(entry.id, other.id), Reply(content=question)
    return _ask_confidence(state, entries, confidence)


def _ask_confidence(state: CarerState, entries: Sequence[LogEntry], confidence: Confidence) -> Effects:
    for activity in dict.fromkeys(each.activity for each in entries):
        if activity is None or state.plan.activity(activity) is None:
            continue
        if activity not in confidence.known_activities:
            continue
        now = [state.now for each in entries if each.activity == activity]
        tries = [*confidence.tries.get(activity, ()), *now]
        kind = next_question(confidence.asked, activity, tries, confidence.shown.get(activity), state.now)
        if kind is not None:
            content = HowSure if kind == "ruler" else TellHow
            return (AskConfidence(activity, kind, content),)
    return ()
