"""A sleep in a place or a way that is not safe. Pure.

What is safe: Moon et al. 2022, Pediatrics 150, sleep-related infant deaths: on the back, on a firm flat surface of the baby's own,
nothing soft in it. To be kept for the night, or from moving, in a seat or by something soft is a sleep too. A sleep that is said near
anything else is taken for one of that kind: a needless line costs little.
"""

from __future__ import annotations

import re

from bot.parsing.word_lists import either
from bot.text import fold

_SENTENCE = re.compile(r"[.!?;\n]+")
_BETWEEN = 60  # characters from a sleep to its place, and from a "not" to either


def speaks_of_unsafe_sleep(text: str) -> bool:
    """Return whether a message speaks of a sleep on the tummy, on somebody, in a seat, or with something soft."""
    return any(_unsafe(sentence) for sentence in _SENTENCE.split(fold(text)))


def told_beside_sleep(text: str) -> tuple[str, str]:
    """Return, folded, what a message tells before its first sleep, and all of it but the clauses of a sleep.

    How long a baby slept on the tummy is no time on the tummy, so only the rest may hold minutes.
    """
    clauses = [clause.strip() for clause in re.split(rf"[.!?;,\n]+|{either('sleep.next')}", fold(text))]
    asleep = [re.search(either("sleep.asleep"), clause) is not None for clause in clauses]
    first = asleep.index(True) if True in asleep else len(clauses)
    rest = [clause for clause, slept in zip(clauses, asleep, strict=True) if clause and not slept]
    return ". ".join(filter(None, clauses[:first])), ". ".join(rest)


def _unsafe(sentence: str) -> bool:
    return _near(
        sentence, either("sleep.asleep"), either("sleep.unsafe", "sleep.seat", "sleep.padding")
    ) or _near(sentence, either("sleep.kept"), either("sleep.seat", "sleep.padding"))


def _near(sentence: str, asleep: str, unsafe: str) -> bool:
    """Say whether a sleep and what makes it unsafe are told near each other, neither of them denied."""
    places = [found.span() for found in re.finditer(unsafe, sentence)]
    denied = rf"{either('sleep.not')}.{{0,20}}\Z"
    for sleep in re.finditer(asleep, sentence):
        if re.search(denied, sentence[: sleep.start()]):
            continue
        near = (
            (start, end)
            for start, end in places
            if start - sleep.end() <= _BETWEEN and sleep.start() - end <= _BETWEEN
        )
        if any(not re.search(rf"{either('sleep.not')}\W.{{0,10}}\Z", sentence[:start]) for start, _ in near):
            return True
    return False
