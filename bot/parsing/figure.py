"""Which figure a therapist asks about: "where from tummy left", "de dónde sale fútbol". Pure."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from bot.digest.trace import Part

_ASKS = re.compile(r"\s*(?:show me where|where (?:does|do|is|are)?|de d[oó]nde)\b.*?\bfrom\b|\s*where from|\s*¿?\s*de d[oó]nde(?: salen?| vienen?)?", re.IGNORECASE)  # fmt: skip
_FIGURES = {"prone": "prone", "seen": "seen", "visto": "seen", "reminders": "sent", "avisos": "sent"}
_PARTS: dict[str, Part] = {
    "left": "left", "izquierda": "left", "izquierdo": "left", "right": "right", "derecha": "right", "derecho": "right",
}  # fmt: skip
_SMALL = {
    "the",
    "of",
    "time",
    "el",
    "la",
    "los",
    "las",
    "de",
    "come",
    "comes",
    "minutes",
    "min",
    "minutos",
    "for",
}


@dataclass(frozen=True, slots=True)
class FigureAsked:
    """figure: an activity's id, "all", "prone", "seen" or "sent", as bot.digest.trace takes it."""

    figure: str
    part: Part | None = None
    carer: str | None = None
    day: date | None = None


def asks_where_from(text: str) -> str | None:
    """Return what follows "where from" (or "de dónde"); None where a text does not ask that."""
    found = _ASKS.match(text)
    return text[found.end() :].strip(" ?¿.") if found else None


def figure_asked(text: str, activities: Mapping[str, Iterable[str]], carers: Iterable[str]) -> FigureAsked:
    """Return the figure that words mean.

    activities: names by id, the id's own words among them or not; the one that shares the largest part of its words
    is meant. Without any, all minutes.
    """
    tokens = _tokens(text)
    asked = set(tokens) - _SMALL
    carer = next((name for name in carers if _tokens(name) and set(_tokens(name)) <= asked), None)
    part = next((_PARTS[t] for t in tokens if t in _PARTS), None)
    figure = next((_FIGURES[t] for t in tokens if t in _FIGURES), None)
    best = 0.0
    if figure is None:
        for activity, names in activities.items():
            for name in (activity.replace("_", " "), *names):
                named = set(_tokens(name))
                share = len((asked - set(_PARTS)) & named) / len(named) if named else 0.0
                if share > best:
                    best, figure = share, activity
    return FigureAsked(figure or "all", part, carer, _day(text))


def _day(text: str) -> date | None:
    found = re.search(r"\b(\d{4}-\d{2}-\d{2})\b", text)
    try:
        return date.fromisoformat(found[1]) if found else None
    except ValueError:
        return None


def _tokens(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", text.casefold())
    return re.findall(r"\w+", re.sub(r"[\u0300-\u036f]", "", plain))
