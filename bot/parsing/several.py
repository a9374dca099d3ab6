"""One answer for several reminders: "did it. all of them.", "done both", "hechos los tres". Pure; a whole message only."""

from __future__ import annotations

from typing import Literal

from bot.parsing.word_lists import holds, numbered, whole_of, words_in

MOST = 9  # more reminders than that are no day's


def several_done(text: str) -> int | Literal["all"] | None:
    """Return how many reminders a message says are done, "all" where it gives no number; None for anything else."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    if whole_of(words, ("several.all",), ("several.done", "several.beside")):
        return "all"
    numbers = [n for word in words if (n := _number(word)) is not None]
    rest = tuple("two" if _number(word) is not None else word for word in words)
    known = whole_of(rest, ("several.counted",), ("several.done", "several.beside"))
    if len(numbers) == 1 and numbers[0] > 1 and known:
        return numbers[0]
    both = holds(words, "several.both") and whole_of(
        words, ("several.both",), ("several.done", "several.beside")
    )
    return 2 if both else None


def says_as_yesterday(text: str) -> bool:
    """Say whether a whole message tells that today was as yesterday: "same as yesterday", "lo mismo que ayer"."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    return whole_of(words, ("several.again",), ("several.done", "several.beside"))


def _number(word: str) -> int | None:
    value = int(word) if word.isdecimal() and len(word) == 1 else numbered("numbers").get(word)
    return value if value is not None and value <= MOST else None
