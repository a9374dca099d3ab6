"""Which day a message speaks of, and at what time of that day."""

from __future__ import annotations

from datetime import datetime

from bot.replies.marks import Mark

WEEK = 7
# A day after one of these bounds something: "since Friday", "till Monday".
_NO_SESSION = frozenset({"from", "till", "since"})
# Without "am" or "pm", an hour of another day is taken as one of these waking hours.
FIRST_WAKING_HOUR = 7


def with_saturdays(text: str, row: list[Mark]) -> list[Mark]:
    """Return the row with "Sat" as the day where another day of the week is named beside it, not as sitting."""
    if any(m.kind == "weekday" for m in row):
        for mark in row:
            if mark.kind == "activity" and text[mark.start : mark.end] in ("Sat", "sat", "SAT"):
                mark.kind, mark.value, mark.letter = "weekday", "5", "Y"
    return row


def named_days(row: list[Mark], now: datetime) -> tuple[tuple[int, int], ...]:
    """Return (place in the row, offset from today) for every day that a message names."""
    offsets = (
        (n, day_offset(row, n, now))
        for n, m in enumerate(row)
        if m.kind in ("day", "weekday", "number")
        and not (m.kind != "number" and n and row[n - 1].kind in _NO_SESSION)
    )
    return tuple((n, offset) for n, offset in offsets if offset is not None)


def day_offset(row: list[Mark], at: int, now: datetime) -> int | None:
    """Return the day that the mark at `at` names, as an offset from today (0, -1, …), or None if it names none."""
    mark = row[at]
    if mark.kind == "day":
        return int(mark.value)
    if mark.kind == "weekday":
        back = (now.weekday() - int(mark.value)) % WEEK
        beside = [row[n].kind for n in (at - 1, at + 1) if 0 <= n < len(row)]
        if back == 0 and "last" in beside:
            back = WEEK
        return -back
    if mark.kind == "number" and mark.value != "goal" and mark.number is not None:
        return _days_ago(row, at)
    return None


def _days_ago(row: list[Mark], at: int) -> int | None:
    """Return the offset of "2 days ago" or "hace dos días"."""
    kinds = [m.kind for m in row[at + 1 : at + 3]]
    days = kinds[:1] == ["measured"] and (kinds[1:] == ["ago"] or (at > 0 and row[at - 1].kind == "since"))
    number = int(row[at].number or 0)
    return -number if days and 0 < number < WEEK * 2 else None


def time_of_day(value: str, half: str, offset: int, now: datetime) -> str:
    """Return "HH:MM" for a clock time as people write it.

    value: "9:15", by either half of the day. half: "am", "pm" or "". offset: the day it lies on. Today it is the
    latest such time that is not still to come, where there is one.
    """
    hours, minutes = (int(part) for part in value.split(":"))
    if half == "pm" and hours < 12:
        hours += 12
    elif half == "am" and hours == 12:
        hours = 0
    elif not half and hours <= 12:
        hours = _waking_hour(hours % 12, minutes, offset, now)
    return f"{hours % 24:02d}:{minutes:02d}"


def _waking_hour(hours: int, minutes: int, offset: int, now: datetime) -> int:
    candidates = [hours, hours + 12]
    if offset == 0:
        past = [h for h in candidates if (h, minutes) <= (now.hour, now.minute)]
        if past:
            return past[-1]
        return candidates[0]
    return candidates[0] if hours >= FIRST_WAKING_HOUR else candidates[1]
