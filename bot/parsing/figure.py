"""Which figure a therapist asks about: "where from tummy left", "de dónde sale fútbol". Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache

from bot.digest.trace import Part
from bot.parsing.dates import ISO, iso_date
from bot.parsing.word_lists import either, runs_of, words_in
from bot.text import fold_with_offsets

_FIGURES = {"figure.prone": "prone", "figure.seen": "seen", "figure.sent": "sent"}
_PARTS: dict[str, Part] = {"figure.left": "left", "figure.right": "right"}


@cache
def _asks() -> re.Pattern[str]:
    asked, where, origin = either("figure.asked"), either("figure.where"), either("figure.from")
    return re.compile(rf"\W*(?:(?:{asked}|{where}).*?{origin}|{origin})")


@dataclass(frozen=True, slots=True)
class FigureAsked:
    """figure: an activity's id, "all", "prone", "seen" or "sent", as bot.digest.trace takes it."""

    figure: str
    part: Part | None = None
    carer: str | None = None
    day: date | None = None


def asks_where_from(text: str) -> str | None:
    """Return what follows "where from" (or "de dónde"); None where a text does not ask that."""
    folded, came_from = fold_with_offsets(text)
    found = _asks().match(folded)
    if found is None:
        return None
    end = found.end() if came_from is None or found.end() == len(came_from) else came_from[found.end()]
    return text[end:].strip(" ?¿.")


def figure_asked(text: str, activities: Mapping[str, Iterable[str]], carers: Iterable[str]) -> FigureAsked:
    """Return the figure that words mean.

    activities: names by id, the id's own words among them or not; the one that shares the largest part of its words
    is meant. Without any, all minutes.
    """
    tokens = words_in(text)
    asked = set(tokens) - _words_of("figure.small")
    carer = next((name for name in carers if words_in(name) and set(words_in(name)) <= asked), None)
    part = next((part for name, part in _PARTS.items() if asked & _words_of(name)), None)
    figure = next((figure for name, figure in _FIGURES.items() if asked & _words_of(name)), None)
    best = 0.0
    if figure is None:
        for activity, names in activities.items():
            for name in (activity.replace("_", " "), *names):
                named = set(words_in(name))
                share = len((asked - _words_of(*_PARTS)) & named) / len(named) if named else 0.0
                if share > best:
                    best, figure = share, activity
    return FigureAsked(figure or "all", part, carer, _day(text))


def _day(text: str) -> date | None:
    found = re.search(rf"\b{ISO}\b", text)
    return iso_date(found[0]) if found else None


def _words_of(*names: str) -> set[str]:
    return {word for name in names for run in runs_of(name) for word in run}
