"""Short words that put right what was told before: "wrong side, did left", "oh wait that was 8", "it was yesterday". Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from bot.parsing.word_lists import holds, runs_of, whole_of, words_in
from bot.replies.numbers import words_value
from bot.text import fold
from scheduling.sides import Side

_SIGNS = ("mend.sign", "mend.wrong")
_BESIDE = (
    "mend.other", "mend.left", "mend.right", "mend.bare_right", "mend.yesterday", "mend.today", "mend.minutes",
    "mend.rather", "mend.counting", "mend.beside",
)  # fmt: skip
MOST_MINUTES = 240
MOST_TIMES = 24


@dataclass(frozen=True, slots=True)
class Mend:
    """What is to be right of one entry told before; exactly one of these. side "other": the one not told.

    times: of what is counted by times; of_day: on its day in all. added: a side and no other word, right after the rest.
    """

    side: Side | Literal["other"] | None = None
    minutes: float | None = None
    days: int | None = None  # -1: it was yesterday
    times: int | None = None
    of_day: bool = False
    added: bool = False


def read_mend(text: str) -> Mend | None:
    """Return what a message puts right; None where it says anything else, or names more than one thing."""
    plain = fold(text)
    if "?" in plain:
        return None
    numbers = [value for word in words_in(plain) if (value := _number(word)) is not None]
    words = tuple(word for word in words_in(plain) if word[0].isalnum() and _number(word) is None)
    how_often = _how_often(plain, words, numbers)
    if how_often is not None:
        return how_often
    added = not whole_of(words, _SIGNS, _BESIDE)
    if added and not _only_a_side(words, numbers):
        return None
    side = _side(words)
    days = -1 if holds(words, "mend.yesterday") else None
    if len(numbers) == 2:
        numbers = _right_of_two(plain)
    if sum(each is not None for each in (side, days, *numbers)) != 1:
        return None
    minutes = numbers[0] if numbers else None
    return (
        None
        if minutes is not None and not 0 < minutes <= MOST_MINUTES
        else Mend(side, minutes, days, added=added)
    )


def _only_a_side(words: tuple[str, ...], numbers: list[float]) -> bool:
    """Say whether a side is all that a message tells, which is said of what was told before: "and on the left"."""
    sides = ("mend.left", "mend.right")
    return not numbers and whole_of(words, sides, ("mend.beside",))


def _how_often(plain: str, words: tuple[str, ...], numbers: list[float]) -> Mend | None:
    """Return how often it was, where that is all that a correction says: "no, 4 of 5", "no, at 3 changes"."""
    told = [int(each) for each in numbers if 1 <= each <= MOST_TIMES and each == int(each)]
    of_some = len(told) == 2 and told[0] <= told[1] and _one_of_the_other(plain)
    moments = holds(words, "mend.moments")
    counted = len(told) == 1 and (moments or holds(words, "mend.times"))
    if not (of_some or counted) or len(told) != len(numbers):
        return None
    beside = (*_BESIDE, "mend.moments", "mend.times", "mend.out_of")
    if holds(words, "mend.minutes") or not whole_of(words, _SIGNS, beside):
        return None
    return Mend(times=told[0], of_day=of_some or moments)


def _one_of_the_other(plain: str) -> bool:
    """Return whether of two numbers the first is so many of the second: "4 of 5", "3 de las 5", "4/5"."""
    said = words_in(plain)
    first, second = (n for n, word in enumerate(said) if _number(word) is not None)
    between = said[first + 1 : second]
    return holds(between, "mend.of") or re.search(r"\d/\d", plain) is not None


def _right_of_two(plain: str) -> list[float]:
    """Return the number that is right of two: "10, well 12", "10, no, 12", but "8, no 5" and "8 not 5"; none where nothing says."""
    said = words_in(plain)
    at, value = zip(*((n, v) for n, word in enumerate(said) if (v := _number(word)) is not None), strict=True)
    between = said[at[0] + 1 : at[1]]
    if holds(between, "mend.rather") or re.search(r"\d\W+no\s*[,.;-]+\s*\d", plain):
        return [value[1]]
    denied = holds(between[-1:], "mend.denied") and (between[-1:] != ("no",) or "," in plain)
    return [value[0]] if denied else []


def _number(word: str) -> float | None:
    if re.fullmatch(r"[0-9]{1,3}", word):
        return float(word)
    value = words_value((word,))
    return None if value is None or value < 2 else value  # "one" is a word of its own


def _side(words: tuple[str, ...]) -> Side | Literal["other"] | None:
    """Return the side that is right: of two, the one that is not denied."""
    left, right = _first(words, "mend.left"), _first(words, "mend.right")
    wrong = holds(words, "mend.wrong")
    if right is None and (wrong or left is not None):
        right = _first(words, "mend.bare_right")
    if left is not None and right is not None:
        denied = _first(words, "mend.denied")
        if denied is None:
            return None
        return "left" if right > denied and not denied < left < right else "right"
    if left is not None:
        return "left"
    if right is not None:
        return "right"
    return "other" if wrong or holds(words, "mend.other") else None


def _first(words: tuple[str, ...], name: str) -> int | None:
    for at in range(len(words)):
        if any(words[at : at + len(run)] == run for run in runs_of(name)):
            return at
    return None
