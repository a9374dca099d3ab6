"""One answer for several reminders, in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.several import says_as_yesterday, several_done


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("did it. all of them.", "all"),
        ("all done!! everything", "all"),
        ("the lot, done", "all"),
        ("hechos todos", "all"),
        ("lo hicimos todo", "all"),
        ("done them both", 2),
        ("we managed two of them", 2),
        ("did all three", 3),
        ("yes all four", 4),
        ("hechos los dos", 2),
        ("hicimos los tres", 3),
    ],
)
def test_one_answer_for_several_is_found(text: str, said: int | str) -> None:
    assert several_done(text) == said


@pytest.mark.parametrize(
    "text",
    [
        "done",
        "all done",
        "did two",
        "all 10",
        "both sides",
        "los dos lados",
        "both crying",
        "everything hurts",
        "all good",
        "",
    ],
)
def test_what_may_be_one_session_or_a_worry_is_none(text: str) -> None:
    assert several_done(text) is None


@pytest.mark.parametrize(
    "text", ["same as yesterday", "just like yesterday", "lo mismo que ayer", "igual que ayer"]
)
def test_as_yesterday_is_found(text: str) -> None:
    assert says_as_yesterday(text)


@pytest.mark.parametrize(
    "text", ["yesterday", "same as last time", "she cried the same as yesterday", "ayer"]
)
def test_other_words_of_yesterday_are_not(text: str) -> None:
    assert not says_as_yesterday(text)


@given(st.text(max_size=60))
def test_any_text_can_be_read(text: str) -> None:
    several_done(text)
