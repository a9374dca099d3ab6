"""Whether a message asks for fewer or more reminders."""

from __future__ import annotations

import pytest

from bot.parsing.answers import wish_in


@pytest.mark.parametrize(
    "text",
    [
        "fewer reminders please",
        "less please",
        "too often",
        "me escribes demasiado",
        "Too many messages!",
        "could you send less of these reminders",
        "not so many notifications pls",
        "please remind me less",
        "stop messaging me so much",
        "you text me too often",
        "no me escribas tanto",
        "menos avisos por favor",
        "son demasiados mensajes",
        "no mandes tantos recordatorios",
        "deja de escribirme tanto",
        "you're spamming me",
    ],
)
def test_fewer_is_understood(text: str) -> None:
    assert wish_in(text) == "fewer"


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("only remind me twice a day", 2),
        ("just two a day", 2),
        ("solo dos al día", 2),
        ("max 3 messages a day please", 3),
        ("one reminder a day is enough", 1),
        ("solo dos avisos al día", 2),
        ("no more than 5 a day", 5),
        ("como máximo 4 mensajes por día", 4),
    ],
)
def test_a_number_of_reminders_a_day_is_understood(text: str, number: int) -> None:
    assert wish_in(text) == number


@pytest.mark.parametrize("text", ["3 times a day", "tummy twice a day", "2 messages and 3 reminders a day"])
def test_other_numbers_of_a_day_are_no_wish(text: str) -> None:
    assert wish_in(text) is None


@pytest.mark.parametrize(
    "text", ["more reminders please", "Remind me more", "más avisos", "quiero mas recordatorios"]
)
def test_more_is_understood(text: str) -> None:
    assert wish_in(text) == "more"


@pytest.mark.parametrize(
    "text",
    [
        "no more reminders",
        "I don't want any more messages",
        "ya no quiero más avisos",
        "10 min",
        "less crying today",
        "she moved more",
        "many thanks for the message",
        "muchas gracias",
    ],
)
def test_anything_else_is_no_wish_about_load(text: str) -> None:
    assert wish_in(text) is None
