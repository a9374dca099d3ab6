"""What carers ask the bot beside the care itself: "are you a person?", "why now?", "when is our next visit?". Pure.

An aside is a whole message of nothing else: anything that stands beside it goes to the reader of replies. In words that
no list knows it is found by two concepts in one short message ("when" and "appointment"), and then only where the reader of
replies found nothing that was done or seen.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, get_args

from bot.parsing.word_lists import holds, keys_of, runs_of, whole_of, words_in

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
    "hard_day",
    "no_nap",
]
ASIDES: tuple[Aside, ...] = get_args(Aside)

LOOSE_WORDS = 7
MOST_WORDS = 10  # of an aside in unlisted words
WHY_NOT_WORDS = 6  # a longer question says more than that

_BESIDE: dict[Aside, tuple[str, ...]] = {
    "self_ill": ("asides.beside", "asides.cannot"),
    "hard_day": ("asides.beside", "asides.cannot"),
}


def aside_in(text: str, names: Iterable[str] = ()) -> Aside | None:
    """Return what a message asks of the bot itself; None for anything that says something else or more.

    names: of the therapist and the baby, which may stand anywhere.
    """
    words = _without_names(text, names)
    for aside in ASIDES:
        if whole_of(words, (f"asides.{aside}",), _BESIDE.get(aside, ("asides.beside",))):
            return aside
    return None


def aside_by_concepts(text: str, names: Iterable[str] = ()) -> Aside | None:
    """Return what a short message in unlisted words asks of the bot itself: it holds both concepts of one aside."""
    words = _without_names(text, names)
    if len(words) > MOST_WORDS or holds(words, "asides.beside_the_point"):
        return None
    known = keys_of("aside_concepts")
    for aside in ASIDES:
        if f"{aside}_asks" not in known:
            continue
        if holds(words, f"aside_concepts.{aside}_asks") and holds(words, f"aside_concepts.{aside}_of"):
            return aside
    return None


def _without_names(text: str, names: Iterable[str]) -> tuple[str, ...]:
    called = {word for name in names for word in words_in(name)}
    called |= {f"{word}'s" for word in called}
    return tuple(word for word in words_in(text) if word[0].isalnum() and word not in called)


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
