"""A temperature as the answer to "please take it": "38.4", "it's 99.1 F", "marca 37,6". Pure; a whole message only."""

from __future__ import annotations

import re

from bot.parsing.word_lists import made_of, whole_of, words_in
from bot.text import fold

_CELSIUS = (34.0, 43.0)
_FAHRENHEIT = (93.5, 109.0)


def temperature_said(text: str) -> float | None:
    """Return the body temperature in °C that a message gives and says nothing else; None for anything else."""
    plain = fold(text)
    figures = re.findall(r"\d{2,3}(?:[.,]\d{1,2})?", plain)
    if len(figures) != 1:
        return None
    rest = [
        word
        for word in words_in(re.sub(r"[°º]?\s*\d{2,3}(?:[.,]\d{1,2})?\s*[°º]?", " ", plain))
        if word[0].isalnum()
    ]
    if not made_of(rest, ("thermometer.beside",)):
        return None
    value = float(figures[0].replace(",", "."))
    if _CELSIUS[0] <= value < _CELSIUS[1]:
        return value
    return (value - 32) / 1.8 if _FAHRENHEIT[0] <= value < _FAHRENHEIT[1] else None


def says_no_thermometer(text: str) -> bool:
    """Say whether a whole message tells that there is no thermometer: "we don't have one", "no tengo"."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    return whole_of(words, ("thermometer.none",), ("thermometer.none_beside",))


def names_no_figure(text: str) -> bool:
    """Say whether a message holds no figure at all, so that a temperature may still be asked for."""
    return not any(letter.isdigit() for letter in text)
