"""The shape of a day as carers put it in chat: "bath is at 6 now", "she naps 1 to 3", "tomas a las 7, 10, 1 y 4".

Pure. Read with care rather than reach: a message that holds anything beside times and the words of a day's shape is
left to the reader of replies, because "cried at the bath at 6" must not move the bath. One that tells two parts of the
day, or what is usual, may use other words as well: whatever is read is shown and asked about before the day changes.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import Literal

from bot.parsing.clock import SaidTime, hour_words, times_in
from bot.parsing.day_lengths import count, every, lasting, lasts
from bot.parsing.word_lists import either, holds, made_of, numbered, runs_of, words_in
from bot.text import fold

Part = Literal["wake", "bed", "naps", "feeds", "bath", "quiet"]
PARTS: tuple[Part, ...] = ("wake", "bed", "naps", "feeds", "bath", "quiet")

MOST_FEEDS = 16
MOST_NAPS = 8
MOST_OTHER_WORDS = 6  # a message with more words of its own is no telling of the day
NIGHT_FEED_BEFORE = 6 * 60  # an hour at which who "wakes for milk" does so at night
LONGEST_NAP = 5 * 60  # a longer one is the night, or a slip


@dataclass(frozen=True, slots=True)
class ShapeWords:
    """What a message says of the day's shape. Times are minutes of the day; None: not spoken of.

    naps, feeds, bath: () where the carer says there are none. feeds_every: minutes between feeds while awake.
    unclear: the parts spoken of whose times could not be read; with nothing else it is to be asked for.
    """

    wake: int | None = None
    bed: int | None = None
    naps: tuple[tuple[int, int], ...] | None = None
    feeds: tuple[int, ...] | None = None
    feeds_every: int | None = None
    bath: tuple[int, ...] | None = None
    quiet: tuple[int, int] | None = None
    unclear: tuple[Part, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        """Return the parts spoken of."""
        spoken: dict[Part, bool] = {
            "wake": self.wake is not None,
            "bed": self.bed is not None,
            "naps": self.naps is not None,
            "feeds": self.feeds is not None or self.feeds_every is not None,
            "bath": self.bath is not None,
            "quiet": self.quiet is not None,
        }
        return tuple(part for part in PARTS if spoken[part])


@cache
def _keyword() -> re.Pattern[str]:
    soon = rf"(?=\s+(?:{either('schedule.before_time')}\s+)?(?:\d|{'|'.join(hour_words())}|half|quarter))"
    patterns = {part: either(f"schedule.{part}") for part in PARTS}
    for part in ("wake", "bed"):  # "up" and "down" are words of the day only where a time follows
        patterns[part] += f"|{either(f'schedule.{part}_before_time')}{soon}"
    return re.compile("|".join(f"(?P<{part}>{pattern})" for part, pattern in patterns.items()))


@cache
def _none_before() -> re.Pattern[str]:
    return re.compile(f"{either('schedule.none_before')} ?$")


@cache
def _range() -> re.Pattern[str]:
    return re.compile(rf"\s*(?:-|–|—|{either('schedule.to')})\s*(?:(?:a )?las? )?")


def says_habit(text: str) -> bool:
    """Return whether a message speaks of what is usual from now on: "bath is at 6 now"."""
    return holds(words_in(text), "schedule.habit")


def read_shape(text: str, *, asked: Part | None = None, names: Collection[str] = ()) -> ShapeWords | None:
    """Return what a message says of the day's shape, or None where it does not speak of that alone.

    asked: the part that was just asked for; bare times then answer it. names: words that mean the baby.
    """
    plain = fold(text)
    # A question, or what was done once: what may stand beside a habit (below) is for the reader of replies.
    if "?" in plain or re.search(either("schedule.once"), lasting().sub(" ", plain)):
        return None
    times = times_in(plain)
    marks = _marks(plain, times)
    if not marks:
        return _asked_part(plain, times, asked) if asked else None
    marks, times = _woken_for_feeds(marks, times)
    others = _other_words(plain, times, names)
    if others and (others > MOST_OTHER_WORDS or not (_tells_the_day(marks) or says_habit(text))):
        return None
    found: dict[str, object] = {}
    unclear: list[Part] = []
    for number, mark in enumerate(marks):
        part: Part = mark.lastgroup  # type: ignore[assignment]
        ends = marks[number + 1].start() if number + 1 < len(marks) else len(plain)
        begins = 0 if number == 0 else mark.start()
        before = plain[marks[number - 1].end() if number else 0 : mark.start()]
        within = [t for t in times if begins <= t.start < ends]
        value = _part(part, plain, within, before, mark.end(), ends)
        if value is None and part == "naps" and "naps" in found and "bed" not in found:
            value = _sleeps_at(within)  # "siestas 9:30 a 11, duerme 8"
        if value is None:
            unclear.append(part)
        else:
            found |= _with_earlier_naps(found, value)
    spoken_of = times and says_habit(text) and (not others or len(times) >= 2)
    if unclear and not _tells_the_day(marks) and not spoken_of:
        return None
    if not found and not (unclear and times):
        return None
    return ShapeWords(**found, unclear=tuple(dict.fromkeys(unclear)))  # type: ignore[arg-type]


def _sleeps_at(times: list[SaidTime]) -> dict[str, object] | None:
    """Read the one time of "sleeps at 8", said after the naps, as that of going to bed."""
    return {"bed": times[0].at("pm")} if len(times) == 1 else None


def _with_earlier_naps(found: dict[str, object], value: dict[str, object]) -> dict[str, object]:
    """Return what one stretch gives; naps named one by one ("first nap ten till eleven, second nap two for an hour") add up."""
    before, more = found.get("naps"), value.get("naps")
    if not (isinstance(before, tuple) and isinstance(more, tuple) and before and more):
        return value
    naps = sorted({*before, *more})
    apart = all(one[1] <= other[0] for one, other in pairwise(naps))
    return value | {"naps": tuple(naps)} if apart else value


def tells_only_the_day(text: str, names: Collection[str] = ()) -> bool:
    """Say whether a message tells two parts of the day or more, and holds no other word at all."""
    plain = fold(text)
    words = read_shape(text, names=names)
    return words is not None and len(words.parts) >= 2 and not _other_words(plain, times_in(plain), names)


def _woken_for_feeds(
    marks: list[re.Match[str]], times: list[SaidTime]
) -> tuple[list[re.Match[str]], list[SaidTime]]:
    """Read "wakes twice for milk, about one and four" as feeds of the night, and not as getting up."""
    for first, second in pairwise(marks):
        between = _any_between(times, first.end(), second.start())
        if first.lastgroup == "wake" and second.lastgroup == "feeds" and not between:
            after = [time for time in times if time.start > second.start()]
            at_night = {time: replace(time, half="am") for time in after if time.minute < NIGHT_FEED_BEFORE}
            others = [mark for mark in marks if mark is not first]
            return others, [at_night.get(time, time) for time in times]
    return marks, times


def _tells_the_day(marks: list[re.Match[str]]) -> bool:
    """Say whether a message speaks of two parts of the day, so that it is no word in passing."""
    return len({mark.lastgroup for mark in marks}) >= 2


def _marks(plain: str, times: list[SaidTime]) -> list[re.Match[str]]:
    """Return the keywords, two of one part with no time between them ("duerme la siesta") as one."""
    marks: list[re.Match[str]] = []
    for mark in _keyword().finditer(plain):
        last = marks[-1] if marks else None
        if last and last.lastgroup == mark.lastgroup and not _any_between(times, last.end(), mark.start()):
            continue
        marks.append(mark)
    return marks


def _any_between(times: list[SaidTime], start: int, end: int) -> bool:
    return any(start <= time.start < end for time in times)


def _asked_part(plain: str, times: list[SaidTime], asked: Part) -> ShapeWords | None:
    words = words_in(plain)
    no_more = made_of(words, ("schedule.nothing", "schedule.nothing_after"))
    if asked in ("naps", "feeds", "bath") and no_more and holds(words, "schedule.nothing"):
        return ShapeWords(**{asked: ()})  # type: ignore[arg-type]
    value = _part(asked, plain, times, "", 0, len(plain))
    return None if value is None else ShapeWords(**value)  # type: ignore[arg-type]


def _other_words(plain: str, times: list[SaidTime], names: Collection[str]) -> int:
    """Return how many words are neither times nor words of a day's shape."""
    rest = list(plain)
    for span in [(time.start, time.end) for time in times] + [
        match.span()
        for pattern in (_keyword(), every(), count(), lasting())
        for match in pattern.finditer(plain)
    ]:
        rest[span[0] : span[1]] = " " * (span[1] - span[0])
    called = {word for name in names for word in fold(name).split()}
    allowed = set(runs_of("schedule.beside")) | {(word + end,) for word in called for end in ("", "'s")}
    return sum((word,) not in allowed for word in re.findall(r"[\w']+", "".join(rest)))


def _part(
    part: Part, plain: str, times: list[SaidTime], before: str, start: int, end: int
) -> dict[str, object] | None:
    """Return the fields that one stretch of the message gives; None where it gives none that can stand."""
    if not times or part == "feeds":
        often = every().search(plain, start, end)
        if part == "feeds" and often:
            hours = numbered("numbers").get(often["n"]) or float(often["n"].replace(",", "."))
            minutes = round(hours * 60) + (30 if often["half"] else 0)
            return {"feeds_every": minutes} if 60 <= minutes <= 6 * 60 else None
        if not times:
            none = part in ("naps", "feeds", "bath") and _none_before().search(before)
            return {part: ()} if none else None
    match part:
        case "wake":
            return {"wake": times[0].at("am")} if len(times) == 1 else None
        case "bed":
            return {"bed": times[0].at("pm")} if len(times) == 1 else None
        case "bath":
            return {"bath": tuple(sorted(_bath(time) for time in times))} if len(times) <= 3 else None
        case "feeds":
            feeds = _rising(times)
            return {"feeds": feeds} if feeds and len(feeds) <= MOST_FEEDS else None
        case "naps":
            naps = _naps(plain, times)
            return {"naps": naps} if naps else None
        case "quiet":
            if len(times) != 2:
                return None
            quiet = (times[0].at("pm"), times[1].at("am"))
            return {"quiet": quiet} if quiet[0] != quiet[1] else None


def _bath(time: SaidTime) -> int:
    """An open hour of a bath is morning from 8 to 11, else afternoon or evening."""
    return time.at("am" if 8 <= time.minute // 60 <= 11 else "pm")


def _rising(times: list[SaidTime]) -> tuple[int, ...]:
    """Read times that run through the day: each open one is the first after the one before it."""
    found: list[int] = []
    for time in times:
        at = (
            time.at("am")
            if not found and time.minute >= 4 * 60
            else time.after(found[-1] if found else 4 * 60)
        )
        if found and at <= found[-1]:
            # A feed of the night, named last ("7, 11, 3, 7, 11 and 3").
            at = time.minute % 720
        found.append(at)
    return tuple(sorted(set(found)))


def _naps(plain: str, times: list[SaidTime]) -> tuple[tuple[int, int], ...] | None:
    """Read pairs of times that are joined by "to", a dash or the like, and beginnings with a length: "9 for an hour"."""
    naps: list[tuple[int, int]] = []
    at = 0
    while at < len(times) and len(naps) < MOST_NAPS:
        # A nap begins between six in the morning and six in the evening unless said otherwise.
        earliest = naps[-1][1] - 1 if naps else 6 * 60 - 1
        first, second = times[at], times[at + 1] if at + 1 < len(times) else None
        found = lasting().match(plain, first.end + (plain[first.end : first.end + 1] == " "))
        if found:
            start = first.after(earliest)
            naps.append((start, start + lasts(found)))
            at += 1
            while at < len(times) and times[at].start < found.end():
                at += 1  # a number of the length
            continue
        between = "" if second is None else plain[first.end : second.start]
        if second is None or not _range().fullmatch(between) or _lists_two(plain, first, between):
            return None
        naps.append(_nap(first, second, earliest))
        at += 2
    if at < len(times) or any(not 0 < end - start <= LONGEST_NAP for start, end in naps):
        return None
    return tuple(naps) if all(a[1] <= b[0] for a, b in pairwise(naps)) else None


def _lists_two(plain: str, first: SaidTime, between: str) -> bool:
    """Say whether "and" joins two beginnings: "naps at 10 and 2", but "between 10 and 11"."""
    joins = re.search(either("schedule.lists"), between) is not None
    return joins and re.search(rf"{either('schedule.between')}\s*(?:las? )?$", plain[: first.start]) is None


def _nap(first: SaidTime, second: SaidTime, earliest: int) -> tuple[int, int]:
    start = first.after(earliest)
    if first.half is None and second.half == "pm" and second.minute >= 780 and start < 720:
        later = first.at("pm")
        start = later if later < second.minute else start
    return start, second.after(start)
