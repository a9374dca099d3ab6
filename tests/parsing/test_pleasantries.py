"""Which words are mere thanks or a greeting."""

from __future__ import annotations

import pytest

from bot.parsing.answers import pleasantry_in


@pytest.mark.parametrize(
    "text", ["thanks", "Thank you so much!", "ok thanks", "thx 🙏", "muchas gracias", "Gracias."]
)
def test_thanks(text: str) -> None:
    assert pleasantry_in(text) == "thanks"


@pytest.mark.parametrize("text", ["hello", "Hi!", "good morning", "¡Hola!", "buenos días", "Buenas noches"])
def test_greetings(text: str) -> None:
    assert pleasantry_in(text) == "greeting"


@pytest.mark.parametrize(
    "text", ["thanks, but he cries", "hi, 10 min", "hola, le duele", "no thanks to you", "10 min", ""]
)
def test_what_says_more_is_neither(text: str) -> None:
    assert pleasantry_in(text) is None
