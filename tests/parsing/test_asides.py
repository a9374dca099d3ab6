"""What is asked of the bot itself, and what only looks like it."""

from __future__ import annotations

import pytest

from bot.parsing.asides import Aside, aside_by_concepts, aside_in, asks_why_not, named_loosely

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
    ("we can't stand this", "hard_day"),
    ("this is so exhausting", "hard_day"),
    ("rough night", "hard_day"),
    ("detesto todo esto", "hard_day"),
    ("qué día tan largo", "hard_day"),
    ("we are dropping out", "leave"),
    ("take us off the list please", "leave"),
    ("queremos irnos", "leave"),
    ("how often do we do it?", "my_part"),
    ("¿cuántas veces al día?", "my_part"),
    ("what do I do with my free hand", "hands"),
    ("what does left side mean", "side"),
    ("when's our next session", "visit"),
    ("why this hour", "why_now"),
    ("I'm out, remove me please", "leave"),
    ("sáquenme de aquí", "leave"),
    ("I'm ill today, in bed with flu", "self_ill"),
    ("estoy en cama con gripe", "self_ill"),
    ("im so tired of all this", "hard_day"),
    ("worried my hold is off", "unsure"),
    ("no entiendo nada de esto", "unsure"),
    ("I don't get this", "unsure"),
    ("did nothing today, feel so guilty", "hard_day"),
    ("am I a bad mum", "hard_day"),
    ("me siento muy culpable", "hard_day"),
    ("think I'm doing it wrong", "unsure"),
    ("how do I hold her arm", "hands"),
    ("where does the head go", "hands"),
    ("¿cómo sostengo el brazo?", "hands"),
    ("no nap today", "no_nap"),
    ("yesterday", "yesterday"),
    ("she skipped her nap", "no_nap"),
    ("hoy no hay siesta", "no_nap"),
    ("no quiso dormir la siesta", "no_nap"),
]


@pytest.mark.parametrize(("text", "aside"), ASKED)
def test_what_is_asked_of_the_bot_itself_is_found(text: str, aside: Aside) -> None:
    assert aside_in(text) == aside


@pytest.mark.parametrize(
    ("text", "aside"),
    [
        ("is that a robot answering", "who"),
        ("who on earth is reading these", "who"),
        ("¿quién me está contestando?", "who"),
        ("when do we see Robin next", "visit"),
        ("how long until the appointment", "visit"),
        ("¿cuándo vemos a Robin?", "visit"),
        ("yesterday recap?", "yesterday"),
        ("why are you pinging me at this hour", "why_now"),
        ("am i even holding him properly", "unsure"),
        ("¿lo estaré haciendo bien?", "unsure"),
    ],
)
def test_an_aside_in_unlisted_words_is_found_by_its_two_concepts(text: str, aside: Aside) -> None:
    assert aside_by_concepts(text, ("Robin", "Pip")) == aside


@pytest.mark.parametrize(
    "text",
    [
        "when will she lift her arm",
        "why is she crying now",
        "who can help, she is ill",
        "is there anything I can do about the fever",
        "12 min yesterday",
        "how long",
        "am i her mother or the maid",
        "what did the doctor say yesterday",
    ],
)
def test_other_questions_hold_no_two_concepts_of_one(text: str) -> None:
    assert aside_by_concepts(text, ("Robin", "Pip")) is None


def test_names_may_stand_anywhere_in_an_aside() -> None:
    assert aside_in("Robin, when is our next visit?", ("Robin",)) == "visit"
    assert aside_in("Robin, when is our next visit?") is None


def test_an_illness_of_the_carer_is_theirs_with_what_it_keeps_them_from() -> None:
    assert aside_in("I've got a stomach bug, can't do it today") == "self_ill"
    assert aside_in("can't do it today") is None


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
