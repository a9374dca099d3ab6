"""What carers ask the bot beside the care itself: "are you a person?", "why now?", "when is our next visit?". Pure.

An aside is a whole message of nothing else: anything that stands beside it goes to the reader of replies.
"""

from __future__ import annotations

from typing import Literal, get_args

from bot.parsing.word_lists import holds, made_of, runs_of, words_in

Aside = Literal[
    "who",
    "visit",
    "yesterday",
    "why_now",
    "my_part",
    "leave",
    "watched",
    "unsure",
    "hands",
    "side",
    "self_ill",
]
ASIDES: tuple[Aside, ...] = get_args(Aside)

LOOSE_WORDS = 7
WHY_NOT_WORDS = 6  # a longer question says more than that


def aside_in(text: str) -> Aside | None:
    """Return what a message asks of the bot itself; None for anything that says something else or more."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    for aside in ASIDES:
        if holds(words, f"asides.{aside}") and made_of(words, (f"asides.{aside}", "asides.beside")):
            return aside
    return None


def asks_why_not(text: str) -> bool:
    """Say whether a short message asks why something does not come: "why no tummy time?"; what, the reader finds."""
    words = words_in(text)
    begins = any(words[: len(run)] == run for run in runs_of("asides.why_not"))
    return begins and len(words) <= WHY_NOT_WORDS


def named_loosely(text: str) -> tuple[str, ...]:
    """Return the words by which a short message means an activity: "the mouth one", "what's hand to mouth"; else none."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    if not 2 <= len(words) <= LOOSE_WORDS:
        return ()
    for run in runs_of("asides.what_is"):
        if words[: len(run)] == run:
            return words[len(run) :]
    ones = runs_of("asides.one")
    if words[0] in {word for run in runs_of("asides.article") for word in run} and words[-1:] in ones:
        return words[1:-1]
    begins = next((run for run in runs_of("asides.the_one_of") if words[: len(run)] == run), None)
    return words[len(begins) :] if begins else ()
