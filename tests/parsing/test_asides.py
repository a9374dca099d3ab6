"""What is asked of the bot itself, and what only looks like it."""

from __future__ import annotations

import pytest

from bot.parsing.asides import Aside, aside_in, asks_why_not, named_loosely

ASKED: list[tuple[str, Aside]] = [
    ("are you a person", "who"),
    ("is anybody there?", "who"),
    ("Hi, am I talking to a real person?", "who"),
    ("¿hay alguien ahí?", "who"),
    ("next visit", "visit"),
    ("when is our next appointment?", "visit"),
    ("¿cuándo es la próxima cita?", "visit"),
    ("what did we do yesterday", "yesterday"),
    ("¿qué hicimos ayer?", "yesterday"),
    ("why now?", "why_now"),
    ("¿por qué ahora?", "why_now"),
    ("y yo que tengo que hacer", "my_part"),
    ("so what do we have to do today", "my_part"),
    ("I want to leave", "leave"),
    ("quiero salirme de este chat", "leave"),
    ("is it okay if he's watched", "watched"),
    ("not sure I'm doing it right", "unsure"),
    ("no sé si lo hago bien", "unsure"),
    ("where do my hands go", "hands"),
    ("¿dónde pongo las manos?", "hands"),
    ("which side is it?", "side"),
    ("¿qué lado toca?", "side"),
    ("I feel sick myself", "self_ill"),
    ("estoy enferma", "self_ill"),
]


@pytest.mark.parametrize(("text", "aside"), ASKED)
def test_what_is_asked_of_the_bot_itself_is_found(text: str, aside: Aside) -> None:
    assert aside_in(text) == aside


@pytest.mark.parametrize(
    "text",
    [
        "12 min",
        "cancel the next visit please",
        "he is leaving marks on her",
        "I want to leave him, he hits me",
        "is it okay if he turns blue",
        "not sure she is breathing right",
        "are you sure",
        "what did we do wrong",
        "yesterday 10 min",
        "she feels sick",
        "I'm sick of her crying",
        "left side",
        "her hands go blue",
        "why now, she is so pale",
        "",
    ],
)
def test_what_says_more_or_something_else_is_left_to_the_reader_of_replies(text: str) -> None:
    assert aside_in(text) is None


@pytest.mark.parametrize(
    "text", ["why no tummy time", "why isn't there any bath?", "¿por qué no hay boca abajo?"]
)
def test_a_question_why_something_does_not_come_is_found(text: str) -> None:
    assert asks_why_not(text)


@pytest.mark.parametrize(
    "text", ["why", "no tummy time", "why not, we did 12 min of the football hold on the left"]
)
def test_other_questions_are_not(text: str) -> None:
    assert not asks_why_not(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("the mouth one", ("mouth",)),
        ("what's hand to mouth?", ("hand", "to", "mouth")),
        ("whats tummy time", ("tummy", "time")),
        ("¿qué es boca abajo?", ("boca", "abajo")),
        ("la de la boca", ("boca",)),
        ("tummy time", ()),
        ("what", ()),
        ("what is wrong with her and why does she cry so much", ()),
    ],
)
def test_an_activity_named_in_passing_is_found_by_its_words(text: str, words: tuple[str, ...]) -> None:
    assert named_loosely(text) == words
