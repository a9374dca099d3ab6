"""Sessions of an activity that is counted by times: "3 of 5", "every change today", "no, 4 of 5". Pure.

Decided: each time is a log entry of its own, without minutes, so that planner, digest and copies count them as any session.
What a message says of a day in all ("3 of 5") brings the family's count of that day to it; fewer than are counted already is
asked about. What one message or one press logged is undone and changed together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from bot.domain.entries import LogEntry
from bot.domain.ids import EntryId
from bot.domain.reminders import Reminder
from bot.features.effects import AddEntries, Effects, RequestReplan, SetEntries
from bot.features.entries.contents import CountedLine, TimesSoFar
from bot.features.entries.entry_rules import counted_line, settle
from bot.features.state import CarerState
from bot.replies.care_moments import MOST_TIMES
from bot.replies.reading import ByTimes, Entry
from scheduling.plan import Plan

# A reminder goes out at its moment and is answered right then: that moment counts among those so far.
_JUST_BEGUN = 15  # minutes


def by_times(plan: Plan, now: datetime) -> tuple[ByTimes, ...]:
    """Return which activities are counted by times, and how often "every time" is: by the moments told, else by the target.

    now: local.
    """
    minute = now.hour * 60 + now.minute + _JUST_BEGUN
    told = dict(plan.moments)
    found = []
    for activity in plan.activities:
        target = plan.times_of(activity.activity)
        if target is None or activity.held_on(now.date()):
            continue
        at = [each for name in activity.moments or () for each in told.get(name, ())]
        passed = sum(each <= minute for each in at) if at else target
        moments = frozenset[str](activity.moments or ())
        found.append(
            ByTimes(activity.activity, min(len(at) or target, MOST_TIMES), min(passed, MOST_TIMES), moments)
        )
    return tuple(found)


def answer_to(plan: Plan, reminder: Reminder) -> Entry:
    """Return the session that "done" tells of: as many minutes as were asked for, or one time."""
    if plan.times_of(reminder.activity) is not None:
        return Entry(reminder.activity, None, reminder.side, times=1)
    return Entry(reminder.activity, reminder.minutes, reminder.side)


def repeated(state: CarerState, entry: Entry, first: LogEntry) -> tuple[LogEntry, ...]:
    """Return the log entries that a clear entry makes: `first` as often as it says, none where the day has that many."""
    if entry.times is None or first.activity is None:
        return (first,)
    had = len(state.counted_on(first.activity, first.local_date)) if entry.of_day else 0
    more = range(entry.times - had)
    return tuple(
        replace(first, id=EntryId(first.id - n), reminder_id=None if n else first.reminder_id) for n in more
    )


def times_so_far(state: CarerState, entry: Entry, first: LogEntry) -> TimesSoFar | None:
    """Return what is said where a day had as many times already; with a question where it had more."""
    if not entry.of_day or entry.times is None or first.activity is None:
        return None
    had = state.counted_on(first.activity, first.local_date)
    if len(had) < entry.times:
        return None
    return TimesSoFar(had[-1], len(had), entry.times if entry.times < len(had) else None)


def said_by(right: Entry) -> int | None:
    """Return how many times an entry says, also where its number was read as minutes; None where it says none."""
    number = right.times if right.times is not None else right.minutes
    return int(number) if number and number == int(number) and 1 <= number <= MOST_TIMES else None


def set_for_message(
    state: CarerState, target: LogEntry, times: int
) -> tuple[Effects, CountedLine | TimesSoFar]:
    """Give what one message or press logged another number of times; what else the day has stands."""
    assert target.activity is not None
    group = {each.id for each in state.together(target)}
    others = [each for each in state.counted_on(target.activity, target.local_date) if each.id not in group]
    return set_for_day(state, target, len(others) + times)


def set_for_day(state: CarerState, target: LogEntry, times: int) -> tuple[Effects, CountedLine | TimesSoFar]:
    """Bring the times of an entry's activity on its day to a number, from 1 on; return what is said then.

    What is missing is logged with `target`; what is too much is taken back from the latest on, first of what `target`'s
    message logged, and what answered a reminder last.
    """
    activity, day = target.activity, target.local_date
    assert activity is not None
    group = {each.id for each in state.together(target)}
    had = [each for each in state.counted_on(activity, day) if each.id != target.id]
    effects: Effects = ()
    if target.state != "counted":
        target = replace(target, state="counted", minutes=None)
        settled, _ = settle(state.with_entries([target]), [replace(target, state="asked")])
        effects += settled
    standing = [*had, target]
    if len(standing) > times:
        order = sorted(standing, key=lambda each: (each.id in group, each.reminder_id is None, each.id))
        dropped = [replace(each, state="undone") for each in order[times:]]
        state = state.with_entries([target, *dropped])
        effects += (SetEntries(tuple(each.id for each in dropped), "undone"),)
    else:
        more = _like(target, times - len(standing))
        state = state.with_entries([target, *more])
        effects += (AddEntries(more),) if more else ()
    left = [each for each in state.together(target) if each.state == "counted"]
    effects += (RequestReplan(),)
    if not left:
        return effects, TimesSoFar(state.counted_on(activity, day)[-1], times)
    return effects, counted_line(state, left)


def _like(entry: LogEntry, more: int) -> tuple[LogEntry, ...]:
    """Return further entries of the same act; they answer no reminder, and nobody said on which side they were."""
    return tuple(
        replace(entry, id=EntryId(-n), reminder_id=None, side=None, twin_of=None) for n in range(1, more + 1)
    )


def put_right(
    state: CarerState, target: LogEntry, right: Entry
) -> tuple[Effects, CountedLine | TimesSoFar] | None:
    """Return how a correction changes what is counted by times; None where it says nothing of how often.

    "4 of 5" is the day's; a bare number is what that message told.
    """
    times = said_by(right)
    if times is None or target.activity is None or state.plan.times_of(target.activity) is None:
        return None
    if right.activity not in (None, target.activity) or right.day_offset:
        return None
    return (set_for_day if right.of_day else set_for_message)(state, target, times)


def known_times(entries: Sequence[LogEntry]) -> bool:
    """Say whether entries are times of one activity on one day, and nothing else."""
    return len({(each.activity, each.local_date) for each in entries}) == 1 and all(
        each.minutes is None for each in entries
    )
