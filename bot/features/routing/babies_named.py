"""What a message says of each of several babies that it names: "tummy: Max 6, Mia 8", "max did 5 mia wasnt having it". Pure."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from typing import Literal

from bot.parsing.word_lists import either, whole_of, words_in
from bot.text import fold, fold_with_offsets

_WORD = re.compile(r"\w")
_DIGIT = re.compile(r"\d")
# Between two names that share what comes after or before them.
_JOINED = re.compile(r"[\s,;:&+/.]*(?:and|y|e)?[\s,;:&+/.]*")
_PAUSE = re.compile(r"[,;.!\n]")
_DENIED = (("wouldn't", "twins.neither"), ("no", "twins.ninguno"))
DONE = "done"  # "only Max", "both": what is left without the words that say of whom


def parts_for(text: str, nicknames: Sequence[str]) -> tuple[str, ...] | None:
    """Return what of a message is about each baby, in the order of the nicknames; None where the words do not decide.

    Each name begins what is told of its baby, or ends it ("6 for Max, 8 for Mia"); names joined by "and" share it. What
    stands before the first name, with no figure in it, goes for all; a clause with one name is about that baby alone.
    "Both", "5 each" and "neither" go for all without a name. Else decided only where each is named once.
    """
    found = [_places(text, nickname) for nickname in nicknames]
    if not any(found):
        everyone = _of_everyone(text)
        return None if everyone is None else (everyone,) * len(nicknames)
    if len(found) < 2 or any(len(places) != 1 for places in found):
        return None
    parts = _by_clause(text, found) if _apart(text, found) else None
    parts = parts or _side_by_side(text, found) or _by_clause(text, found)
    return None if parts is None else tuple(_ended(part) for part in parts)


def _side_by_side(text: str, found: list[list[tuple[int, int]]]) -> tuple[str, ...] | None:
    order = sorted(range(len(found)), key=lambda n: found[n][0])
    spans = [found[n][0] for n in order]
    head, tail = text[: spans[0][0]], text[spans[-1][1] :]
    between = [text[one[1] : other[0]] for one, other in itertools.pairwise(spans)]
    if not any(_tells(part) for part in between):
        return (text,) * len(found) if not (_DIGIT.search(head) and _DIGIT.search(tail)) else None
    if not any(_PAUSE.search(part) for part in between) and _DIGIT.search(head) and _WORD.search(tail):
        return None
    if _DIGIT.search(head):
        parts = _ending(text, spans) if not _WORD.search(tail) else None
    else:
        parts = _beginning(text, spans, head)
    if parts is None:
        return None
    by_name = dict(zip(order, parts, strict=True))
    return tuple(by_name[n] for n in range(len(found)))


def _apart(text: str, found: list[list[tuple[int, int]]]) -> bool:
    """Say whether each name stands within a clause of its own, and the later ones not at its beginning."""
    spans = sorted(places[0] for places in found)
    for one, other in itertools.pairwise(spans):
        pauses = list(_PAUSE.finditer(text, one[1], other[0]))
        if not pauses or not _WORD.search(text[pauses[-1].end() : other[0]]):
            return False
    return ":" not in text[: spans[0][0]]


def _by_clause(text: str, found: list[list[tuple[int, int]]]) -> tuple[str, ...] | None:
    """Return the clauses that name each baby, where each names one and together they are the whole message."""
    folded, came_from = fold_with_offsets(text)
    cuts = sorted(
        {match.start() for match in _PAUSE.finditer(text)}
        | {
            match.start() if came_from is None else came_from[match.start()]
            for match in re.finditer(either("twins.between"), folded)
        }
    )
    bounds = list(itertools.pairwise([0, *cuts, len(text)]))
    clauses = [text[start:end] for start, end in bounds]
    owner = [[n for n, places in enumerate(found) if start <= places[0][0] < end] for start, end in bounds]
    if any(len(each) > 1 for each in owner) or not owner[0]:
        return None
    parts = [""] * len(found)
    about = owner[0][0]
    for clause, of in zip(clauses, owner, strict=True):
        about = of[0] if of else about
        parts[about] += clause
    return tuple(parts)


def _ended(part: str) -> str:
    """Return a part without what only joins it to the other one."""
    part = part.strip(" ,;.:/")
    while True:
        folded, _ = fold_with_offsets(part)
        joined = re.match(rf"(?:{either('twins.between')}|and(?!\w)|y(?!\w))[\s,]*", folded) or re.search(
            rf"[\s,]*(?:{either('twins.between')}|(?<!\w)and|(?<!\w)y)$", folded
        )
        if joined is None or len(folded) != len(part):
            return part
        part = (part[joined.end() :] if joined.start() == 0 else part[: joined.start()]).strip(" ,;.:/")


def _of_everyone(text: str) -> str | None:
    """Return what a message says of every baby, without the words for all of them; None where it says none of these."""
    folded, came_from = fold_with_offsets(text)
    if came_from is not None:
        text = folded
    others = [match.span() for match in re.finditer(either("twins.not_babies"), folded)]
    for match in re.finditer(either("twins.everyone"), folded):
        start, end = match.span()
        if any(start < other_end and other_start < end for other_start, other_end in others):
            continue
        said = next((word for word, name in _DENIED if re.fullmatch(either(name), match[0])), "")
        left = _ended(f"{text[:start]}{said}{text[end:]}".replace("  ", " "))
        return left if _WORD.search(left) else DONE
    return None


def only_named(text: str, nickname: str) -> bool:
    """Say whether a message is one baby's name and at most "only": it was done with this one."""
    words = _without(text, (nickname,))
    return words is not None and (not words or whole_of(words, ("twins.only",)))


def moved_to(text: str, nicknames: Sequence[str]) -> int | Literal["other"] | None:
    """Return to which baby a message moves what was told last: "that was Max not Mia", "wrong baby"; None for any other."""
    named = [n for n, nickname in enumerate(nicknames) if _places(text, nickname)]
    words = _without(text, nicknames)
    if words is None or len(named) > 2 or _DIGIT.search(text) is not None:
        return None
    if whole_of(words, ("twins.other_one",), ("twins.moved",)):
        return named[0] if len(named) == 1 else "other" if len(nicknames) == 2 else None
    if not named or not words or not whole_of(words, ("twins.moved",)):
        return None
    denied = [n for n in named if _is_denied(text, nicknames[n])]
    meant = [n for n in named if n not in denied]
    return meant[0] if len(meant) == 1 else None


def _is_denied(text: str, nickname: str) -> bool:
    start = _places(text, nickname)[0][0]
    return (
        re.search(r"(?:^|\s)(?:not|no)(?:\s+for|\s+with|\s+de|\s+para)?\s*$", fold(text[:start])) is not None
    )


def _without(text: str, nicknames: Sequence[str]) -> tuple[str, ...] | None:
    """Return the words of a text without the names; None where no word is left and no name stood there."""
    left = without_names(text, nicknames)
    words = tuple(word for word in words_in(left) if word[0].isalnum())
    return words if words or left != text else None


def without_names(text: str, nicknames: Sequence[str]) -> str:
    """Return a text without the names in it."""
    places = sorted(place for nickname in nicknames for place in _places(text, nickname))
    for start, end in reversed(places):
        text = f"{text[:start]} {text[end:]}"
    return text


def _beginning(text: str, spans: list[tuple[int, int]], head: str) -> list[str]:
    ends = [start for start, _ in spans[1:]] + [len(text)]
    parts = [text[start:end] for (start, _), end in zip(spans, ends, strict=True)]
    # From the last name backwards, so that "max and mia did 5" is told of both.
    for n in range(len(parts) - 2, -1, -1):
        if not _tells(text[spans[n][1] : spans[n + 1][0]]):
            parts[n] += parts[n + 1]
    return [f"{head}{part}".strip(" ,;.") for part in parts]


def _ending(text: str, spans: list[tuple[int, int]]) -> list[str]:
    begins = [0] + [end for _, end in spans[:-1]]
    parts = [text[begin:end] for begin, (_, end) in zip(begins, spans, strict=True)]
    for n in range(1, len(parts)):
        if not _tells(text[spans[n - 1][1] : spans[n][0]]):
            parts[n] = parts[n - 1] + parts[n]
    return [part.strip(" ,;.") for part in parts]


def _tells(between: str) -> bool:
    """Return whether there is more between two names than what joins them."""
    return _JOINED.fullmatch(fold(between)) is None


def _places(text: str, nickname: str) -> list[tuple[int, int]]:
    """Return where a name stands in a text as a word of its own, whatever its case and accents."""
    folded, came_from = fold_with_offsets(text)
    wanted = r"\s+".join(re.escape(word) for word in fold(nickname).split())
    if not wanted:
        return []
    matches = re.finditer(rf"(?<!\w){wanted}(?:'s)?(?!\w)", folded)
    spans = [match.span() for match in matches]
    if came_from is None:
        return spans
    return [(came_from[start], came_from[end - 1] + 1) for start, end in spans]
