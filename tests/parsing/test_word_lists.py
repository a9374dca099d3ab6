"""The word lists of the readers, and what is made of them."""

from __future__ import annotations

import re

import pytest

from bot.parsing.word_lists import (
    LANGUAGES,
    WordListError,
    either,
    holds,
    keys_of,
    made_of,
    runs_of,
    words_in,
)

TABLES = [
    "answers",
    "thanks",
    "greeting",
    "awake",
    "reminders",
    "stay",
    "schedule",
    "clock",
    "figure",
    "scale",
    "visit",
]


@pytest.mark.parametrize("table", TABLES)
def test_every_list_holds_wordings_that_can_be_read(table: str) -> None:
    assert [key for key in keys_of(table) if not runs_of(f"{table}.{key}")] == []


def test_a_list_that_no_file_has_is_named() -> None:
    with pytest.raises(WordListError, match=r"no list 'answers\.perhaps'"):
        runs_of("answers.perhaps")


def test_both_languages_are_read_together() -> None:
    assert set(LANGUAGES) == {"en", "es"}
    assert {("yes",), ("claro", "que", "si")} <= set(runs_of("answers.yes"))


def test_words_are_found_whole_and_in_a_row() -> None:
    assert holds(words_in("Well, do so now"), "answers.agreed")
    assert not holds(words_in("redo sofas"), "answers.agreed")
    assert made_of(words_in("Go ahead — do it!"), ["answers.agreed"])
    assert not made_of(words_in("go far ahead"), ["answers.yes"])
    assert re.search(either("answers.agreed"), "that's right")
    assert not re.search(either("answers.yes"), "bright")
