"""The shape of a day as carers put it in chat: "bath is at 6 now", "she naps 1 to 3", "tomas a las 7, 10, 1 y 4".

Pure. Read with care rather than reach: a message that holds anything beside times and the words of a day's shape is
left to the reader of replies, because "cried at the bath at 6" must not move the bath.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from bot.parsing.clock import SaidTime, plain_letters, times_in

Part = Literal["wake", "bed", "naps", "feeds", "bath", "quiet"]
PARTS: tuple[Part, ...] = ("wake", "bed", "naps", "feeds", "bath", "quiet")

MOST_FEEDS = 16
MOST_NAPS = 8
LONGEST_NAP = 5 * 60  # a longer one is the night, or a slip


@dataclass(frozen=True, slots=True)
class ShapeWords:
    """What a message says of the day's shape. Times are minutes of the day; None: not spoken of.

    naps, feeds, bath: () where the carer says there are none. feeds_every: minutes between feeds while awake.
    """

    wake: int | None = None
    bed: int | None = None
    naps: tuple[tuple[int, int], ...] | None = None
    feeds: tuple[int, ...] | None = None
    feeds_every: int | None = None
    bath: tuple[int, ...] | None = None
    quiet: tuple[int, int] | None = None

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


_KEYWORDS: dict[Part, str] = {
    "wake": r"wakes? up|wakes?|waking|gets? up|up at|up from|despierta|se levanta|levantarse",
    "bed": r"bed ?time|goes to sleep|se duerme|goes to bed|in bed|to bed|bed|down for the night|se acuesta|hora de dormir|se va a dormir|acostarse",
    "naps": r"naps?|napping|siestas?|sleeps|duerme",
    "feeds": r"feeds?|feedings?|bottles?|nurses|nursing|breast ?feeds?|eats|tomas?|biberon(?:es)?|mamaderas?|pecho|come|leche",
    "bath": r"bath ?time|baths?|bano|banos|se bana|banarse",
    "quiet": r"quiet(?: time)?|no messages|no reminders|do not (?:write|message)|don'?t (?:write|message)|silencio|sin avisos|sin mensajes|no escribas?",
}  # fmt: skip
_KEYWORD = re.compile("|".join(rf"(?<!\w)(?P<{part}>{words})(?!\w)" for part, words in _KEYWORDS.items()))
_NONE = re.compile(r"(?<!\w)(?:no|without|sin|ningun[ao]?)(?: fixed| set| mas| more)? ?$")
_EVERY = re.compile(
    r"(?<!\w)(?:every|cada) (?P<n>\d(?:[.,]5)?|two|three|four|dos|tres|cuatro)(?P<half> and a half| y media)?(?: ?h(?:ou)?rs?| ?horas?| ?h)(?!\w)"
)
_EVERY_WORDS = {"two": 2, "three": 3, "four": 4, "dos": 2, "tres": 3, "cuatro": 4}
_COUNT = re.compile(r"\d(?= ?(?:times|veces|naps?|siestas?|feeds?|bottles?|tomas?)(?!\w))")
_RANGE = re.compile(r"\s*(?:-|–|—|to|til|till|until|a|hasta|and|y)\s*(?:las? )?")
# What may stand beside: nothing else may, or the message is about more than the day's shape.
_FILLER = frozenset(
    re.findall(
        r"\S+",
        """a an the is are it its it's at from to til till until and or at about around now new usually normally always mostly most
    every each day days moved changed change changes again to on in by then with we give gets get has have takes take she he they
    her his our their baby new time times will be please ok okay so o'clock for night morning evening afternoon set fixed more no
    without between instead this week starts ends start end first last
    un una el la los las lo es son esta ahora a al de del desde hasta entre y o por para normalmente siempre casi cada dia dias nuevo nueva
    se su sus le les da damos toma tomamos tiene tienen hace bebe hora horas cambio cambia cambiamos paso pasa sera van va con que
    mas sin no manana tarde noche mediodia primera ultima esta semana empieza termina
        do does doing she's he's they're we're hi hello hey thanks thank you hola gracias buenas dias tardes noches damos hacemos""",
    )
) | {"-", "–"}
_ONCE = re.compile(
    r"\?|(?<!\w)(?:today|tonight|tomorrow|yesterday|just|did|had|was|were|slept|napped|fed|woke|ate|cried|min|mins|minutes?|ago"
    r"|hoy|ayer|anoche|durmio|comio|tomo|minutos?|hizo|lloro|recien|acaba)(?!\w)"
)


def read_shape(text: str, *, asked: Part | None = None, names: Collection[str] = ()) -> ShapeWords | None:
    """Return what a message says of the day's shape, or None where it does not speak of that alone.

    asked: the part that was just asked for; bare times then answer it. names: words that mean the baby.
    """
    plain = plain_letters(text).replace("’", "'")
    if _ONCE.search(plain):
        return None
    times = times_in(plain)
    marks = _marks(plain, times)
    if not marks:
        return _asked_part(plain, times, asked) if asked else None
    if not _nothing_else(plain, times, names):
        return None
    found: dict[str, object] = {}
    for number, mark in enumerate(marks):
        part: Part = mark.lastgroup  # type: ignore[assignment]
        ends = marks[number + 1].start() if number + 1 < len(marks) else len(plain)
        begins = 0 if number == 0 else mark.start()
        before = plain[marks[number - 1].end() if number else 0 : mark.start()]
        value = _part(part, plain, [t for t in times if begins <= t.start < ends], before, mark.end(), ends)
        if value is None:
            return None
        found |= value
    return ShapeWords(**found)  # type: ignore[arg-type]


def _marks(plain: str, times: list[SaidTime]) -> list[re.Match[str]]:
    """Return the keywords, two of one part with no time between them ("duerme la siesta") as one."""
    marks: list[re.Match[str]] = []
    for mark in _KEYWORD.finditer(plain):
        last = marks[-1] if marks else None
        if last and last.lastgroup == mark.lastgroup and not _any_between(times, last.end(), mark.start()):
            continue
        marks.append(mark)
    return marks


def _any_between(times: list[SaidTime], start: int, end: int) -> bool:
    return any(start <= time.start < end for time in times)


def _asked_part(plain: str, times: list[SaidTime], asked: Part) -> ShapeWords | None:
    if re.fullmatch(r"\W*(?:no|none|nope|ninguna?|no hay|sin)\W*(?:fixed|set)?\W*", plain) and asked in (
        "naps",
        "feeds",
        "bath",
    ):
        return ShapeWords(**{asked: ()})  # type: ignore[arg-type]
    value = _part(asked, plain, times, "", 0, len(plain))
    return None if value is None else ShapeWords(**value)  # type: ignore[arg-type]


def _nothing_else(plain: str, times: list[SaidTime], names: Collection[str]) -> bool:
    rest = list(plain)
    for span in [(time.start, time.end) for time in times] + [
        match.span() for pattern in (_KEYWORD, _EVERY, _COUNT) for match in pattern.finditer(plain)
    ]:
        rest[span[0] : span[1]] = " " * (span[1] - span[0])
    called = {word for name in names for word in plain_letters(name).split()}
    allowed = _FILLER | called | {f"{word}'s" for word in called}
    return all(word in allowed for word in re.findall(r"[\w'’]+", "".join(rest)))


def _part(
    part: Part, plain: str, times: list[SaidTime], before: str, start: int, end: int
) -> dict[str, object] | None:
    """Return the fields that one stretch of the message gives; None where it gives none that can stand."""
    if not times or part == "feeds":
        every = _EVERY.search(plain, start, end)
        if part == "feeds" and every:
            hours = _EVERY_WORDS.get(every["n"]) or float(every["n"].replace(",", "."))
            minutes = round(hours * 60) + (30 if every["half"] else 0)
            return {"feeds_every": minutes} if 60 <= minutes <= 6 * 60 else None
        if not times:
            none = part in ("naps", "feeds", "bath") and _NONE.search(before)
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
    """Read pairs of times that are joined by "to", a dash or the like."""
    if len(times) % 2 or len(times) // 2 > MOST_NAPS:
        return None
    naps: list[tuple[int, int]] = []
    for first, second in zip(times[::2], times[1::2], strict=True):
        if not _RANGE.fullmatch(plain[first.end : second.start]):
            return None
        # A nap begins between six in the morning and six in the evening unless said otherwise.
        earliest = naps[-1][1] - 1 if naps else 6 * 60 - 1
        start = first.after(earliest)
        if first.half is None and second.half == "pm" and second.minute >= 780 and start < 720:
            later = first.at("pm")
            start = later if later < second.minute else start
        end = second.after(start)
        if not 0 < end - start <= LONGEST_NAP:
            return None
        naps.append((start, end))
    return tuple(naps) if all(a[1] <= b[0] for a, b in pairwise(naps)) else None
