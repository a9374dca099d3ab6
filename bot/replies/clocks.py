"""Times of day, and sessions given by their beginning and end."""

from __future__ import annotations

import re

from bot.replies.marks import Mark
from bot.replies.rewriting import joined, picked, rewrite

HALF_DAY = 12 * 60

# K clock, N number, P am/pm/o'clock, @ at, g past, H half past, f half, q quarter, > to, ~ less, < from, } until.
_TIME = re.compile(
    r"""@?(?P<clock>K)[PM]?
      | @?(?P<half_past>H)(?P<half_of_hour>[N1])[PM]?
      | @?a?(?P<past>[Nq])m?g(?P<past_hour>[N1])[PM]?
      | (?<=[@}z])a?(?P<to>[Nq])m?[>](?P<to_hour>[N1])P?
      | @?a?(?P<quarter_to>q)[>](?P<quarter_hour>[N1])P?
      | (?<=[@<}>zZ])f(?P<british>N)P? | f(?P<british_from>N)(?=[}>-])
      | (?<!X)@(?P<hour>[N1a])(?:&?(?P<more>[fqN])(?![mxt])|~(?P<less>[qN]))?[PM]?(?![mhs])
      | (?<=[<}])(?P<to_part>[N1])&(?P<part>[fq])(?![mhs])
      | (?P<bare>N)P""",
    re.VERBOSE,
)
# Half past, ten past: the hour is told by the other end.
_PAST_ONLY = re.compile(r"@?(?P<half>H)(?!N)|@?a?(?P<past>[Nq])m?g(?![N1])")
_SPAN = re.compile(
    r"[<iZ@]*(?P<from>[KN1])[&,.^wA|]{0,3}?(?:[}>a@n-]+|[,&.^w|]{0,3}z|(?<=<[KN1]))@?(?P<till>[KNR1])"
    r"(?:&(?P<more>[fq])|~(?P<less>[qN]))?(?P<unit>[mhsj]?)"
)


_TIMES = frozenset("KHN1qf@")


def _minutes(mark: Mark) -> int | None:
    """Return minutes after midnight (or noon) for a clock, "9.15", or a whole hour; None if it is no time."""
    if mark.kind == "clock":
        hours, _, minutes = mark.value.partition(":")
        return int(hours) * 60 + int(minutes) if int(hours) < 25 and int(minutes) < 60 else None
    if mark.number is None or not 0 <= mark.number < 25:
        return None
    hours, _, part = mark.value.replace(",", ".").partition(".")
    if part and (len(part) != 2 or int(part) > 59):
        return None
    return int(mark.number) * 60 + (int(part) if part else 0)


def _clock(parts: list[Mark], minutes: int) -> Mark:
    half = next((p.value for p in parts if p.kind in ("ampm", "part")), "")
    made = joined(parts, "clock", "K", None, f"{minutes // 60 % 24}:{minutes % 60:02d}")
    made.notes = frozenset({half}) if half in ("am", "pm") else frozenset()
    return made


def _part_of_hour(mark: Mark | None) -> int:
    if mark is None:
        return 0
    if mark.kind == "fraction":
        return 30 if mark.value == "half" else 15
    return int(mark.number or 0)


def _time(parts: list[Mark], match: re.Match[str]) -> Mark | None:
    groups = match.groupdict()
    name = next(key for key in groups if groups[key] is not None)
    shift = {"past": "past_hour", "to": "to_hour", "quarter_to": "quarter_hour", "half_past": "half_of_hour"}
    base = picked(parts, match, shift.get(name, name))
    assert base is not None
    hour = 60 if base.kind == "article" else _minutes(base)
    if hour is None:
        return None
    if name in ("british", "british_from", "half_past"):
        hour += 30
    elif name == "past":
        hour += _part_of_hour(picked(parts, match, "past"))
    elif name in ("to", "quarter_to"):
        hour -= _part_of_hour(picked(parts, match, name))
    elif name == "to_part":
        hour += _part_of_hour(picked(parts, match, "part"))
    elif name == "hour":
        hour += _part_of_hour(picked(parts, match, "more")) - _part_of_hour(picked(parts, match, "less"))
    return _clock(parts, hour % (24 * 60))


def _past_only(parts: list[Mark], match: re.Match[str]) -> Mark:
    past = picked(parts, match, "past")
    return joined(parts, "past_only", "R", 30.0 if past is None else float(_part_of_hour(past)))


def _span(parts: list[Mark], match: re.Match[str]) -> Mark | None:
    """Return the session between two times, or None where the two are amounts ("5-10 min") or nothing sensible."""
    first, last = picked(parts, match, "from"), picked(parts, match, "till")
    assert first is not None
    assert last is not None
    clocks = "clock" in (first.kind, last.kind) or last.kind == "past_only"
    dotted = "." in first.value or "." in last.value
    led = parts[0].letter in "<Z@" or (parts[0].letter == "i" and bool(match["more"]))
    both_dotted = "." in first.value and "." in last.value
    if match["unit"] or not (clocks or both_dotted or (led and dotted) or (led and match["more"])):
        return None
    begin = _minutes(first)
    if begin is None:
        return None
    if last.kind == "past_only":
        end: int | None = begin // 60 * 60 + int(last.number or 0)
    else:
        end = _minutes(last)
        if end is not None:
            end += _part_of_hour(picked(parts, match, "more")) - _part_of_hour(picked(parts, match, "less"))
    if end is None:
        return None
    made = joined(
        parts, "amount", "D", float((end - begin) % HALF_DAY), f"{begin // 60 % 24}:{begin % 60:02d}"
    )
    halves = first.notes | last.notes
    made.notes = frozenset({"unit", "span"}) | (halves if len(halves) == 1 else frozenset())
    return made


def with_clocks(row: list[Mark]) -> list[Mark]:
    """Return the row with times of day as one mark each, and sessions from one time to another as amounts."""
    row = rewrite(row, _TIME, _time, _TIMES)
    row = rewrite(row, _PAST_ONLY, _past_only, frozenset("gH"))
    row = rewrite(row, _SPAN, _span, frozenset("KN1"))
    for mark in row:
        if mark.kind == "finish" and not mark.value:
            mark.kind, mark.value, mark.letter = "done", "strong", "w"
    return row
