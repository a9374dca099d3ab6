"""Reasons of the planner in words: from the numbers that decided, nothing added."""

from __future__ import annotations

from math import ceil

from bot.phrases import Words
from scheduling.reasons import Because, Proof, Why


def because_in_words(because: Because, words: Words) -> str:
    """Return why a prompt comes now, as in "11 of 40 minutes by then; right side is due"."""
    parts = [_so_far(because, words)]
    if because.side and because.turn:
        parts.append(words.plain(f"because.{because.turn}", side=words.plain(f"because.{because.side}")))
    if because.moment:
        parts.append(words.plain(f"because.at_{because.moment}"))
    return "; ".join(parts)


def _so_far(because: Because, words: Words) -> str:
    """Return the numbers that decided: the activity's own, or a goal's by its name."""
    so_far, target = _number(because.so_far), _number(because.target)
    if because.goal is None:
        key = "because.times_so_far" if because.times else "because.so_far"
        return words.plain(key, so_far=so_far, target=target)
    key = "because.goal_times_so_far" if because.times else "because.goal_so_far"
    return words.plain(key, goal=because.goal, so_far=so_far, target=target)


def why_in_words(why: Why, words: Words) -> str:
    """Return why an activity falls short today."""
    if why.kind == "most_prompts":
        return (
            words.plain("because.most_prompts", n=why.prompts)
            if why.prompts
            else words.plain("because.no_prompts")
        )
    return words.plain(f"because.{why.kind}")


def proof_in_words(proof: Proof, words: Words) -> str | None:
    """Return how near a day that falls short comes to the best that its rules allow; None where there is nothing to tell."""
    excess = proof.excess
    if not proof.short or excess is None or excess > 1:
        return None
    if excess == 0:
        return words.plain("because.proved")
    return words.plain("because.within", percent=ceil(excess * 100))


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
