"""Which words are mere thanks or a greeting."""

from __future__ import annotations

import pytest

from bot.parsing.pleasantries import phrase_for


@pytest.mark.parametrize(
    "text", ["thanks", "Thank you so much!", "ok thanks", "thx 🙏", "muchas gracias", "Gracias."]
)
def test_thanks(text):
    assert phrase_for(text) == "pleasantry.welcome"


@pytest.mark.parametrize("text", ["hello", "Hi!", "good morning", "¡Hola!", "buenos días", "Buenas noches"])
def test_greetings(text):
    assert phrase_for(text) == "pleasantry.hello"


@pytest.mark.parametrize(
    "text", ["thanks, but he cries", "hi, 10 min", "hola, le duele", "no thanks to you", "10 min", ""]
)
def test_what_says_more_is_neither(text):
    assert phrase_for(text) is None
