"""Temperatures in figures or in words of number, in °C or °F, told apart from minutes, doses and ages."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from bot.concerns.finding import Urgency
from bot.concerns.schema import TemperatureFile
from bot.concerns.standing import Match
from bot.concerns.text import MARKS, Words

FEVER_FROM = 38.0
_NEAR = 4  # words
_CELSIUS = (34.0, 43.0)
_FAHRENHEIT = (93.5, 109.0)
_PLAIN_FEVER = ((38.0, 42.5), (100.4, 107.5))  # a figure with a decimal that needs no word beside it
_LOWEST_ALONE = (
    32.0  # °C; what thermometers show. With other words beside it a lower figure than _CELSIUS is none
)
_LOW = (
    _CELSIUS[0],
    36.0,
)  # a figure with a decimal that is hardly anything but a temperature, whatever is beside it
_CLAUSE_ENDS = frozenset({"", ".", ",", "?"})
_UNITS = {
    **dict.fromkeys(("one", "uno", "un"), 1), **dict.fromkeys(("two", "dos"), 2), **dict.fromkeys(("three", "tres"), 3),
    **dict.fromkeys(("four", "cuatro"), 4), **dict.fromkeys(("five", "cinco"), 5), **dict.fromkeys(("six", "seis"), 6),
    **dict.fromkeys(("seven", "siete"), 7), **dict.fromkeys(("eight", "ocho"), 8), **dict.fromkeys(("nine", "nueve"), 9),
    **dict.fromkeys(("zero", "oh", "o", "cero"), 0),
}  # fmt: skip
_TENS = {"thirty": 30, "treinta": 30, "forty": 40, "fourty": 40, "cuarenta": 40, "ninety": 90, "noventa": 90}
_HUNDRED = frozenset({"hundred", "cien", "ciento"})
_POINT = frozenset({"point", "punto", "coma", "dot", "con"})
_HALF = frozenset({"medio", "half"})
_JOINS = frozenset({"and", "y", "a", ","})


@dataclass(frozen=True, slots=True)
class Reading:
    """A body temperature in °C, and the words it takes up. doubted: nothing says that the figure is a temperature."""

    celsius: float
    match: Match
    doubted: bool = False

    def is_beside(self, sign: Match) -> bool:
        """Whether it stands within a few words of the end of a sign."""
        return abs(self.match.start - sign.end) <= _NEAR

    def ends(self, sign: Match, code: str) -> bool:
        """Whether it follows a sign of the encoded message in the same breath: "a fever of 38.5"."""
        between = code[sign.end : self.match.start]
        return sign.end <= self.match.start and len(between) <= 1 and MARKS.isdisjoint(between)


@dataclass(frozen=True, slots=True)
class _Figure:
    value: float
    start: int
    end: int


def urgency_of(celsius: float, age_weeks: int, thresholds: TemperatureFile) -> Urgency | None:
    """Return how urgent a temperature is at an age in weeks since birth. None: none of the thresholds is met."""
    for fever in thresholds.fever:
        if celsius >= fever.at_least and fever.from_weeks <= age_weeks < fever.under_weeks:
            return fever.urgency
    for cold in thresholds.cold:
        if celsius < cold.below and age_weeks < cold.under_weeks:
            return cold.urgency
    return None


class TemperatureReader:
    """Finds body temperatures in an encoded message."""

    def __init__(self, expression: Callable[[str], str]) -> None:
        e = expression
        self._before = re.compile(f"(?:{e('@temp_word')})[^.?]{{0,4}}\\Z")
        self._right_before = re.compile(f"(?:{e('@has_temp')})(?:{e('@very')})?\\Z")
        self._after = re.compile(f",?(?:{e('@temp_unit')}|[^.?]{{0,2}}{e('@temp_word')})")
        self._other_unit = re.compile(e("@not_temp_unit"))
        between = e("@has_temp|@temp_word|@be|@very|@not_body")
        self._not_body_before = re.compile(
            f"(?:(?<!{e('@after')}{e('@the')})(?<!{e('@after')}){e('@not_body')}{between}{{0,3}}"
            f"|{e('@weather')}(?:(?!{e('@has_temp|@temp_word|@who')})[^.?]){{0,3}}|{e('@weather_is')})\\Z"
        )
        self._not_body_after = re.compile(f"[^.?]{{0,3}}{e('@not_body')}")
        self._below = re.compile(f"(?:{e('@below')}|<)\\Z")
        self._measured = re.compile(e("@measured_otherwise"))
        self._spelt = re.compile(e("@small_number"))

    def readings(self, words: Words, code: str) -> list[Reading]:
        """Return the body temperatures that a message names, in order."""
        found: list[Reading] = []
        place = 0
        while place < len(code):
            figure = self._figure(words.text, code, place)
            if figure is None:
                place += 1
                continue
            celsius = self._body_celsius(figure, words.text, code)
            match = Match(figure.start, figure.end, ())
            if celsius is not None:
                found.append(Reading(celsius, match))
            elif self._low_beside_words(figure, words.text, code):
                found.append(Reading(figure.value, match, doubted=True))
            place = figure.end
        return found

    def _figure(self, texts: tuple[str, ...], code: str, place: int) -> _Figure | None:
        text = texts[place]
        if text[0].isdigit():
            return _in_digits(texts, place)
        return _in_words(texts, place) if self._spelt.match(code, place) else None

    def _body_celsius(self, figure: _Figure, texts: tuple[str, ...], code: str) -> float | None:
        if self._other_unit.match(code, figure.end):
            return None
        low = max(0, figure.start - 6)
        worded = bool(self._before.search(code, low, figure.start) or self._after.match(code, figure.end))
        decimal = "." in texts[figure.start] or figure.value % 1 > 0
        if not worded and not self._likely(figure, decimal, low, code):
            return None
        bare = None if worded else _bare_celsius(figure.value)
        celsius = _as_celsius(figure.value, texts[figure.end : figure.end + 3], worded=worded) or bare
        if celsius is None or self._below.search(code, low, figure.start):
            return None
        water = self._not_body_before.search(code, low, figure.start) or self._not_body_after.match(
            code, figure.end
        )
        return None if water else celsius

    def _likely(self, figure: _Figure, decimal: bool, low: int, code: str) -> bool:
        if decimal and any(least <= figure.value <= most for least, most in _PLAIN_FEVER):
            return True
        if decimal and _alone(figure, code) and _bare_celsius(figure.value) is not None:
            return True
        likely = (36.0 <= figure.value <= 42) if decimal else (38 <= figure.value <= 42)
        if likely or 100 <= figure.value <= 106:
            ends = figure.end >= len(code) or code[figure.end] != "#"
            return ends and bool(self._right_before.search(code, low, figure.start))
        return False

    def _low_beside_words(self, figure: _Figure, texts: tuple[str, ...], code: str) -> bool:
        """Say whether a figure may be a low temperature though no word says so: a decimal, no unit, nothing measured beside it.

        No session is told as 35.4 minutes; a weight or a length is told with its unit or its name.
        """
        if "." not in texts[figure.start] or not _LOW[0] <= figure.value < _LOW[1]:
            return False
        low = max(0, figure.start - 6)
        return not (
            self._other_unit.match(code, figure.end)
            or self._measured.search(code, low, figure.end + 4)
            or self._below.search(code, low, figure.start)
            or self._not_body_before.search(code, low, figure.start)
            or self._not_body_after.match(code, figure.end)
        )


def _alone(figure: _Figure, code: str) -> bool:
    """Say whether a figure stands in a clause of its own."""
    before, after = code[figure.start - 1 : figure.start], code[figure.end : figure.end + 1]
    return before in _CLAUSE_ENDS and after in _CLAUSE_ENDS


def _bare_celsius(value: float) -> float | None:
    """Return in °C a figure with a decimal that stands alone; None where no body has that temperature."""
    if _LOWEST_ALONE <= value < _CELSIUS[1]:
        return value
    celsius = round((value - 32) * 5 / 9, 1)
    return celsius if _FAHRENHEIT[0] - 4 <= value <= _FAHRENHEIT[1] else None


def _as_celsius(value: float, after: tuple[str, ...], *, worded: bool) -> float | None:
    """Return a plausible body temperature in °C. Three or four digits may have lost their point ("384", "1004")."""
    units = [text for text in after if text not in MARKS]
    said_celsius = any(text in {"c", "celsius", "celcius", "centigrade", "centigrados"} for text in units[:2])
    if _CELSIUS[0] <= value <= _CELSIUS[1]:
        return value
    if _FAHRENHEIT[0] <= value <= _FAHRENHEIT[1] and not said_celsius:
        return round((value - 32) * 5 / 9, 1)
    if worded and _CELSIUS[0] <= value / 10 <= _CELSIUS[1]:
        return value / 10
    if worded and _FAHRENHEIT[0] <= value / 10 <= _FAHRENHEIT[1]:
        return round((value / 10 - 32) * 5 / 9, 1)
    return None


def _in_digits(texts: tuple[str, ...], place: int) -> _Figure:
    """Read "38.4", and "38 4", "38 point 4", "38 y medio" that belong together."""
    try:
        value = float(texts[place])
    except ValueError:  # a digit of a script that is written otherwise
        return _Figure(-1.0, place, place + 1)
    tenth, end = _tenths(texts, place + 1)
    whole = "." not in texts[place] and (
        _CELSIUS[0] <= value <= _CELSIUS[1] or _FAHRENHEIT[0] <= value <= _FAHRENHEIT[1]
    )
    if whole and tenth is not None:
        return _Figure(value + tenth, place, end)
    return _Figure(value, place, place + 1)


def _tenths(texts: tuple[str, ...], place: int) -> tuple[float | None, int]:
    """Read the decimal that follows a whole number, and where it ends."""
    first = texts[place] if place < len(texts) else ""
    second = texts[place + 1] if place + 1 < len(texts) else ""
    third = texts[place + 2] if place + 2 < len(texts) else ""
    if first in _POINT and (digit := _digit(second)) is not None:
        return digit / 10, place + 2
    if first in {"y", "and"} and (second in _HALF or (second == "a" and third in _HALF)):
        return 0.5, place + (2 if second in _HALF else 3)
    if (digit := _digit(first)) is not None and second not in {
        "min",
        "mins",
        "minutes",
        "times",
        "x",
        "minutos",
        "veces",
    }:
        return digit / 10, place + 1
    return None, place


def _digit(text: str) -> int | None:
    if len(text) == 1 and text.isascii() and text.isdigit():
        return int(text)
    return _UNITS.get(text)


def _in_words(texts: tuple[str, ...], place: int) -> _Figure | None:
    """Read "thirty eight point five", "treinta y nueve", "a hundred and one", "one oh two"."""
    value, end = _whole_in_words(texts, place)
    if value is None:
        return None
    tenth, after = _tenths(texts, end)
    return _Figure(value, place, end) if tenth is None else _Figure(value + tenth, place, after)


def _whole_in_words(texts: tuple[str, ...], place: int) -> tuple[float | None, int]:
    def at(offset: int) -> str:
        return texts[place + offset] if place + offset < len(texts) else ""

    first = at(0)
    if first in _TENS:
        skip = 2 if at(1) in {"y", "and"} or at(1) == "," else 1
        unit = _UNITS.get(at(skip))
        return (_TENS[first] + unit, place + skip + 1) if unit is not None else (_TENS[first], place + 1)
    if first in {"one", "uno"} and at(1) in {"oh", "o", "zero"} and at(2) in _UNITS:
        return 100 + _UNITS[at(2)], place + 3
    hundred = 1 if first in {"one", "uno"} and at(1) in _HUNDRED else 0
    if at(hundred) in _HUNDRED:
        skip = hundred + (2 if at(hundred + 1) in _JOINS else 1)
        unit = _UNITS.get(at(skip))
        return (100 + unit, place + skip + 1) if unit is not None else (100, place + hundred + 1)
    return None, place
