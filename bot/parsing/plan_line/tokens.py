"""The parts of a therapist's plan line: each is matched where the one before it ended."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from rapidfuzz import fuzz, process

from bot.parsing.clock import wall_clock
from bot.parsing.plan_line.amounts import (
    BARE,
    DATE,
    STRICT,
    clocks_of,
    date_of,
    number,
    number_of,
    whole_of,
)
from bot.parsing.plan_line.vocabulary import either, moment_words, word
from scheduling.plan import MinutesADay, Ratio, ShareOfAwake

NEAR_ENOUGH = 84  # of 100, for a name with a spelling slip
FEWEST_BARE = 5  # "3 a day" may be minutes or times: fewer than this need their unit
OPERATIONS = ("instead", "swap", "remove", "hold", "start", "add")
SHORTEST_SLIP = 4  # letters; a shorter word is too like others


@dataclass(frozen=True, slots=True)
class Token:
    """kind: name, field, op, comma, line, filler or unread. name: the activity, the field, or the operation."""

    kind: str
    name: str
    value: Any
    start: int
    end: int


Made = tuple[str, Any] | None
Maker = Callable[[re.Match[str], date], Made]


def _minutes_field(field: str, most: int = 1440, least: int = 0) -> Maker:
    def make(match: re.Match[str], _today: date) -> Made:
        minutes = whole_of(match, least, most)
        return None if minutes is None else (field, minutes)

    return make


def _target(match: re.Match[str], _today: date) -> Made:
    minutes = number_of(match)
    if minutes is None or (minutes < FEWEST_BARE and not match.groupdict().get("unit")):
        return None
    minutes *= 60 if match.groupdict().get("h") else 1
    return ("target", MinutesADay(minutes)) if minutes <= 1440 else None


def _share(match: re.Match[str], _today: date) -> Made:
    percent = number_of(match)
    return ("target", ShareOfAwake(percent / 100)) if percent is not None and percent <= 100 else None


def _session(match: re.Match[str], _today: date) -> Made:
    first, second = whole_of(match, 1, 1440, "n"), whole_of(match, 1, 1440, "m")
    return None if first is None or second is None else ("session", (min(first, second), max(first, second)))


def _one_session(match: re.Match[str], _today: date) -> Made:
    minutes = whole_of(match, 1, 1440)
    return None if minutes is None else ("session", (minutes, minutes))


def _bound(place: int) -> Maker:
    def make(match: re.Match[str], _today: date) -> Made:
        minutes = whole_of(match, 1, 1440)
        if minutes is None:
            return None
        return "session", (minutes, None) if place == 0 else (None, minutes)

    return make


def _times(match: re.Match[str], _today: date) -> Made:
    times = whole_of(match, 1, 24)
    return None if times is None else ("times", times)


def _times_of_minutes(match: re.Match[str], _today: date) -> Made:
    times, minutes = whole_of(match, 1, 24), whole_of(match, 1, 1440, "m")
    return None if times is None or minutes is None else ("times_of", (times, minutes))


def _ratio(match: re.Match[str], _today: date) -> Made:
    first, second = float(match["a"]), float(match["b"])
    if first + second == 0:
        return None
    return "side", Ratio(second, first) if match["strong"] else Ratio(first, second)


def _says(field: str, value: Any) -> Maker:
    return lambda _match, _today: (field, value)


def _moments(match: re.Match[str], _today: date) -> Made:
    said = re.findall(either(moment_words()), match["moments"])
    return "moments", tuple(dict.fromkeys(moment_words()[re.sub(r"[\s-]+", " ", each)] for each in said))


_DASH = rf"\s*(?:-|{word('to')})\s*"
_LIST = r"(?:\s*(?:,|and|y)?\s*)"


def _feeds(match: re.Match[str], _today: date) -> Made:
    times = clocks_of(match["times"], BARE)
    return ("feeds", tuple(times)) if times and times[-1] < 1440 else None


def _moment_times(match: re.Match[str], _today: date) -> Made:
    times = clocks_of(match["times"], STRICT)
    name = moment_words()[re.sub(r"[\s-]+", " ", match["moment"])]
    return ("moment_times", (name, tuple(times))) if times and times[-1] < 1440 else None


def _quiet(match: re.Match[str], _today: date) -> Made:
    start, end = wall_clock(match["from"]), wall_clock(match["to"])
    if start is None or end is None or start == end or max(start, end) >= 1440:
        return None
    return "quiet", (start, end)


def _awake(match: re.Match[str], _today: date) -> Made:
    pairs = re.findall(rf"({BARE}){_DASH}({BARE})", match["spans"])
    spans = sorted((wall_clock(start), wall_clock(end)) for start, end in pairs if wall_clock(start) is not None and wall_clock(end) is not None)  # fmt: skip
    ends = 0
    for start, end in spans:
        if start is None or end is None or start < ends or end <= start:
            return None
        ends = end
    return ("awake", tuple(spans)) if spans and len(spans) == len(pairs) else None


def _dated(field: str) -> Maker:
    def make(match: re.Match[str], today: date) -> Made:
        day = date_of(match, today)
        return None if day is None else (field, day)

    return make


def _for_days(match: re.Match[str], _today: date) -> Made:
    number = whole_of(match, 1, 400)
    return None if number is None else ("for_days", number * (7 if match["weeks"] else 1))


def _amounts() -> list[tuple[str, str, Maker]]:
    """Return the rules of minutes, times and gaps."""
    minute, hour, day = word("minute"), word("hour"), word("day")
    unit = rf"(?:\s*(?:{minute}|(?P<h>{hour})))"
    a_day = rf"(?:(?:\s+{word('total')})?\s*{word('per')}\s*{day}|\s+{word('daily')})"
    each, moment, intro = rf"(?:\s+{word('each')})?", either(moment_words()), word("moment_intro")
    return [
        (rf"(?:{word('at_least')}\s+)?{number('n')}{unit}?\s+{word('after')}{each}\s+{word('feed')}", "field", _minutes_field("after_feed")),
        (rf"{word('after')}{each}\s+{word('feed')}[\s:]+{number('n')}{unit}?(?!\d)", "field", _minutes_field("after_feed")),
        (rf"(?:{word('at_least')}\s+)?{number('n')}{unit}?\s+{word('before')}{each}\s+{word('feed')}", "field", _minutes_field("before_feed")),
        (rf"{word('before')}{each}\s+{word('feed')}[\s:]+{number('n')}{unit}?(?!\d)", "field", _minutes_field("before_feed")),
        (rf"(?:{word('at_least')}\s+)?{number('n')}{unit}?\s+{word('apart')}", "field", _minutes_field("gap", 10080)),
        (rf"{word('gap')}\s+{number('n')}{unit}?(?!\d)", "field", _minutes_field("gap", 10080)),
        (rf"{word('weight')}\s+{number('n')}", "field", lambda match, _: ("weight", number_of(match))),
        (rf"{number('n')}\s*{word('times')}\s*(?:of\s+|de\s+)?{number('m')}\s*{minute}?{a_day}?", "field", _times_of_minutes),
        (rf"{number('n')}\s*{word('times')}(?:{a_day}|(?=\s*(?:[,;.]|$)))", "field", _times),
        (rf"(?:{word('once')}|(?P<two>{word('twice')})){a_day}", "field", lambda match, _: ("times", 2 if match["two"] else 1)),
        (rf"(?:to|a)\s+{number('n')}{unit}(?!{a_day})", "unread", _says("", None)),  # a day, or each time?
        (rf"{number('m')}\s*{minute}\s*[x×]\s*{number('n')}(?!\w){a_day}?", "field", _times_of_minutes),
        (rf"{number('n')}\s*%(?:\s+(?:of\s+|de\s+|del\s+)?(?:the\s+|el\s+|la\s+)?{word('awake_time')})?", "field", _share),
        (rf"{word('half')}(?:\s+(?:of|del?))?(?:\s+(?:the|his|her|el|la))?\s+{word('awake_time')}", "field", _says("target", ShareOfAwake(0.5))),
        (rf"{number('n')}(?P<unit>{unit})?{a_day}", "field", _target),
        (rf"{word('target')}\s+{number('n')}(?P<unit>{unit})?(?:{a_day})?(?![\w%])", "field", _target),
        (rf"(?:(?:from|de|between|entre)\s+)?{number('n')}(?:\s*{minute})?{_DASH}{number('m')}\s*{minute}(?!{a_day})", "field", _session),
        (rf"{word('at_most')}\s+{number('n')}\s*{minute}", "field", _bound(1)),
        (rf"{word('at_least')}\s+{number('n')}\s*{minute}", "field", _bound(0)),
        (rf"{number('n')}\s*{minute}", "field", _one_session),
        (rf"{word('any_time')}", "field", _says("any_time", True)),
        (rf"{intro}{each}\s+(?P<moments>{moment}(?:\s*(?:,|and|or|y|o|e|&|\+|/)(?:\s*{intro})?{each}\s*{moment})*)", "field", _moments),
    ]  # fmt: skip


@cache
def rules() -> tuple[tuple[re.Pattern[str], str, Maker], ...]:
    """Return (pattern, kind of token, maker), the more telling first. A maker's None passes to the next rule."""
    minute, hour, day = word("minute"), word("hour"), word("day")
    unit = rf"(?:\s*(?:{minute}|(?P<h>{hour})))"
    a_day = rf"(?:(?:\s+{word('total')})?\s*{word('per')}\s*{day}|\s+{word('daily')})"
    moment = either(moment_words())
    table: list[tuple[str, str, Maker]] = [
        (rf"{word('quiet')}(?:\s+(?:from|between|de|entre))?[\s:]+(?P<from>{BARE}){_DASH}(?P<to>{BARE})", "field", _quiet),
        (rf"{word('no')}\s+{word('quiet')}", "field", _says("no_quiet", True)),
        (rf"{word('awake')}[\s:]+(?P<spans>{BARE}{_DASH}{BARE}(?:{_LIST}{BARE}{_DASH}{BARE})*)", "field", _awake),
        (rf"{word('feed_times')}(?:\s+{word('clock_intro')})?[\s:]+(?P<times>{BARE}(?:{_LIST}{BARE})*)", "field", _feeds),
        (rf"(?P<moment>{moment})(?:\s+{word('clock_intro')})*[\s:]+(?P<times>{STRICT}(?:{_LIST}{STRICT})*)", "field", _moment_times),
        (rf"(?:{word('at_most')}\s+)?{number('n')}\s+{word('prompts')}{a_day}?", "field", _minutes_field("most_prompts", 24)),
        (rf"{number('n')}{unit}?\s+{word('between_prompts')}", "field", _minutes_field("shortest_gap")),
        (rf"{word('from')}\s+{DATE}", "field", _dated("from_")),
        (rf"{word('until')}\s+{DATE}", "field", _dated("until")),
        (DATE, "field", _dated("some_date")),
        (rf"{word('for')}\s+{number('n')}\s+(?:{day}|(?P<weeks>{word('week')}))", "field", _for_days),
        (rf"{word('open_dates')}", "field", _says("open_dates", True)),
        (rf"(?P<a>\d)\s*:\s*(?P<b>\d)(?!\d)(?:\s+(?:{word('affected')}|(?P<strong>{word('unaffected')})))?", "field", _ratio),
        (rf"(?P<a>\d)\s+{word('to')}\s+(?P<b>\d)\s+(?:{word('affected')}|(?P<strong>{word('unaffected')}))", "field", _ratio),
        (rf"(?:{word('affected')}|(?P<strong>{word('unaffected')}))\s+(?P<a>\d)\s*:\s*(?P<b>\d)(?!\d)", "field", _ratio),
        *_amounts(),
    ]  # fmt: skip
    return tuple((re.compile(pattern), kind, make) for pattern, kind, make in table)


@cache
def _later_rules() -> tuple[tuple[re.Pattern[str], str, Maker], ...]:
    """What is looked for only after the activities' names: words that a name may hold as well."""
    table: list[tuple[str, str, Maker]] = [
        (rf"(?:{word('only')}\s+)?{word('no_side')}", "field", _says("side", "none")),
        (rf"(?:{word('only')}\s+)?{word('unaffected')}(?:\s+{word('only')})?", "field", _says("side", "unaffected")),
        (rf"(?:{word('only')}\s+)?{word('affected')}(?:\s+{word('only')})?", "field", _says("side", "affected")),
        (rf"(?:{word('only')}\s+)?{word('left')}(?:\s+{word('only')})?", "field", _says("arm", "left")),
        (rf"(?:{word('only')}\s+)?{word('right')}(?:\s+{word('only')})?(?!\s+(?:{word('after')}|{word('before')}|{word('today')}))", "field", _says("arm", "right")),
        (rf"(?P<off>{word('not_early')})|{word('early')}", "field", lambda match, _: ("when", "any" if match["off"] else "early")),
        (word("alternate"), "field", _says("side", "alternate")),
        *((word(op), "op", _says(op, None)) for op in OPERATIONS),
        (r"[,.:+&](?!\d)|" + word("and"), "comma", _says("", None)),
        (r"[\n;]", "line", _says("", None)),
        (word("filler"), "filler", _says("", None)),
        (r"[-*•()'\"!¡¿?]+(?!\d)", "filler", _says("", None)),
    ]  # fmt: skip
    return tuple((re.compile(pattern), kind, make) for pattern, kind, make in table)


def tokens_of(folded: str, today: date, names: Mapping[str, str]) -> Iterator[Token]:
    """Return the parts of a folded text in order. names: folded names of activities, with their ids."""
    naming = re.compile(either(names)) if names else None
    place = 0
    while place < len(folded):
        if folded[place].isspace() and folded[place] != "\n":
            place += 1
            continue
        token = (
            _by(rules(), folded, place, today)
            or _name(naming, folded, place, names)
            or _by(_later_rules(), folded, place, today)
            or _slip(folded, place, names)
            or _unread(folded, place)
        )
        yield token
        place = token.end


def _by(
    table: tuple[tuple[re.Pattern[str], str, Maker], ...], folded: str, place: int, today: date
) -> Token | None:
    for pattern, kind, make in table:
        match = pattern.match(folded, place)
        if match and match.end() > place and (made := make(match, today)) is not None:
            return Token(kind, made[0], made[1], place, match.end())
    return None


def _name(naming: re.Pattern[str] | None, folded: str, place: int, names: Mapping[str, str]) -> Token | None:
    match = naming.match(folded, place) if naming else None
    if match is None:
        return None
    said = re.sub(r"[\s-]+", " ", match[0])
    known = names.get(said) or names.get(match[0]) or next(
        (each for name, each in names.items() if re.sub(r"[\s-]+", " ", name) == said), None
    )  # fmt: skip
    return None if known is None else Token("name", known, None, place, match.end())


def _slip(folded: str, place: int, names: Mapping[str, str]) -> Token | None:
    """Take a word or two that are nearly a name as that name, where it is long enough to tell."""
    for words in (2, 1):
        match = re.compile(rf"[^\W\d_]+(?:[ -][^\W\d_]+){{{words - 1}}}(?!\w)").match(folded, place)
        if match is None or len(match[0]) < SHORTEST_SLIP:
            continue
        # The first letter must be right: "each" is no "reach".
        alike = [name for name in names if name.count(" ") == words - 1 and name[0] == match[0][0]]
        found = process.extractOne(match[0], alike, scorer=fuzz.ratio, score_cutoff=NEAR_ENOUGH)
        if found is not None:
            return Token("name", names[found[0]], None, place, match.end())
    return None


def _unread(folded: str, place: int) -> Token:
    match = re.compile(r"\w+(?:[.:/⁄%'-]\w+)*%?|[^\w\s]").match(folded, place)
    return Token("unread", "", None, place, match.end() if match else place + 1)
