"""Reasons of the planner in words: from the numbers that decided, nothing added."""

from __future__ import annotations

from bot.phrases import Words
from scheduling.reasons import Because, Why


def because_in_words(because: Because, words: Words) -> str:
    """Return why a prompt comes now, as in "11 of 40 minutes so far; right side is due"."""
    parts = [
        words.plain("because.so_far", so_far=_number(because.so_far), target=_number(because.target)),
    ]
    if because.side and because.turn:
        parts.append(words.plain(f"because.{because.turn}", side=words.plain(f"because.{because.side}")))
    if because.moment:
        parts.append(words.plain(f"because.at_{because.moment}"))
    return "; ".join(parts)


def why_in_words(why: Why, words: Words) -> str:
    """Return why an activity falls short today."""
    if why.kind == "most_prompts":
        return (
            words.plain("because.most_prompts", n=why.prompts)
            if why.prompts
            else words.plain("because.no_prompts")
        )
    return words.plain(f"because.{why.kind}")


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
