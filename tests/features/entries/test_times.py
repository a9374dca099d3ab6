"""Sessions of an activity that is counted by times: how many a message or a tap logs, puts right and takes back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from bot.domain.entries import LogEntry
from bot.domain.ids import EntryId, MessageId
from bot.features.effects import AddEntries, Effects, Reply, SetEntries
from bot.features.entries.contents import CountedLine, Question, TimesSoFar
from bot.features.entries.mend_rules import meant, mended
from bot.features.entries.rules import Confidence, Told, tell
from bot.features.entries.times_rules import by_times, put_right, set_for_day
from bot.features.state import CarerState
from bot.parsing.mends import Mend
from bot.replies.reading import Entry, Reading
from scheduling.plan import plan_from
from tests.features.states import NOW, entry, reminder, state
from tests.scheduling.families import activity, document

PLAN = plan_from(
    document(activity("rolling") | {"target": {"times": 4}, "moments": ["nappy"]}, activity("tummy_time"))
    | {"moments": {"nappy": ["07:00", "10:55", "14:00", "18:00", "21:00"]}}
)


def rolled(number: int, message: int | None = 40, **changes: Any) -> LogEntry:
    values: dict[str, Any] = {
        "activity": "rolling",
        "message_id": message,
        "logged_at": NOW - timedelta(minutes=5),
    }
    return entry(number, None, **(values | changes))


def day(*entries: LogEntry, **changes: Any) -> CarerState:
    return state(entries=entries, plan=PLAN, **changes)


def told(at: CarerState, *entries: Entry, confirm: bool = False, **changes: Any) -> Effects:
    message = Told(
        message_id=MessageId(41),
        text="3 of 4",
        chat_message_id=900,
        reading=Reading(entries=entries, confirm=confirm),
        reminder=changes.get("reminder"),
    )
    return tell(at, message, Confidence()).effects


def added(effects: Effects) -> list[LogEntry]:
    return [new for each in effects if isinstance(each, AddEntries) for new in each.entries]


def dropped(effects: Effects) -> list[EntryId]:
    return [
        one for each in effects if isinstance(each, SetEntries) and each.state == "undone" for one in each.ids
    ]


def said(effects: Effects) -> object:
    return next(each.content for each in effects if isinstance(each, Reply))


def test_every_time_is_as_often_as_the_moments_told_until_now() -> None:
    morning = datetime.fromisoformat("2026-03-02T10:50:00-04:00")
    [rolling] = by_times(PLAN, morning)

    assert (rolling.a_day, rolling.so_far, rolling.moments) == (5, 2, frozenset({"nappy"}))


def test_without_moments_every_time_is_the_target() -> None:
    plan = replace(PLAN, moments=())

    assert [(each.a_day, each.so_far) for each in by_times(plan, NOW)] == [(4, 4)]


def test_three_of_four_are_three_sessions_without_minutes() -> None:
    new = added(told(day(), Entry("rolling", None, times=3, of_day=True)))

    assert [(each.activity, each.minutes, each.state) for each in new] == [("rolling", None, "counted")] * 3
    assert len({each.id for each in new}) == 3


def test_only_the_first_of_several_answers_the_reminder() -> None:
    asked = reminder(activity="rolling")
    new = added(told(day(reminders=(asked,)), Entry("rolling", None, times=2), reminder=asked))

    assert [each.reminder_id for each in new] == [asked.id, None]


def test_what_is_told_of_the_day_brings_its_count_to_that() -> None:
    at = day(rolled(1), rolled(2, carer_id="c2", message=30))

    assert len(added(told(at, Entry("rolling", None, times=3, of_day=True)))) == 1
    assert len(added(told(at, Entry("rolling", None, times=3)))) == 3


def test_fewer_than_are_counted_is_asked_about_and_changes_nothing() -> None:
    at = day(rolled(1), rolled(2), rolled(3))
    fewer, same = (told(at, Entry("rolling", None, times=n, of_day=True)) for n in (2, 3))

    assert (added(fewer), dropped(fewer)) == ([], [])
    assert said(fewer) == TimesSoFar(rolled(3), 3, 2)
    assert said(same) == TimesSoFar(rolled(3), 3, None)


def test_an_unclear_number_of_times_waits_as_one_entry() -> None:
    effects = told(day(), Entry("rolling", None, times=None), confirm=True)

    assert [each.state for each in added(effects)] == ["asked"]
    assert isinstance(said(effects), Question)


@pytest.mark.parametrize(("times", "new", "gone"), [(5, 2, 0), (3, 0, 0), (1, 0, 2)])
def test_a_day_is_set_to_a_number_of_times(times: int, new: int, gone: int) -> None:
    effects, content = set_for_day(day(rolled(1), rolled(2), rolled(3)), rolled(1), times)

    assert (len(added(effects)), len(dropped(effects))) == (new, gone)
    assert isinstance(content, CountedLine) and len(content.entries) == times


def test_what_answered_a_reminder_is_taken_back_last() -> None:
    answer = rolled(3, reminder_id=7)
    effects, _ = set_for_day(day(rolled(1), rolled(2), answer), answer, 1)

    assert set(dropped(effects)) == {1, 2}


def test_a_waiting_entry_is_one_of_the_times_that_are_then_said() -> None:
    waiting = rolled(4, message=41, state="asked")
    effects, content = set_for_day(day(rolled(1), waiting), waiting, 3)

    assert [each.id for each in added(effects)] == [-1]
    assert SetEntries((EntryId(4),), "counted") in effects
    assert isinstance(content, CountedLine) and content.times == 3


@pytest.mark.parametrize(
    ("right", "total"), [(Entry(None, None, times=4, of_day=True), 4), (Entry(None, 2), 3)]
)
def test_a_correction_of_the_day_sets_the_day_and_a_bare_number_its_message(right: Entry, total: int) -> None:
    at = day(rolled(1, message=30), rolled(2), rolled(3), rolled(4))
    changed = put_right(at, rolled(4), right)

    assert changed is not None
    assert 4 + len(added(changed[0])) - len(dropped(changed[0])) == total


def test_no_four_of_five_means_what_was_told_last() -> None:
    at = day(rolled(1), rolled(2), rolled(3), entry(9, 12, message_id=39))
    mend = Mend(times=2, of_day=True)
    found = meant(at, [rolled(1), rolled(2), rolled(3)], mend)
    effects = mended(at, found, mend, message_id=MessageId(42), line=None)

    assert dropped(effects) == [3]
    assert meant(at, [entry(9, 12)], mend) == ()


def test_what_one_press_logged_is_one_thing() -> None:
    pressed = [rolled(n, message=None) for n in (1, 2, 3)]
    later = rolled(4, message=None, logged_at=NOW)

    at = day(*pressed, later)
    assert at.together(pressed[0]) == pressed
    assert at.last_counted() == [later]
