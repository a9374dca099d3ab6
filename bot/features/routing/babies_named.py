"""What a message says of each of several babies that it names: "tummy: Max 6, Mia 8", "max did 5 mia wasnt having it". Pure."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from bot.text import fold, fold_with_offsets

_WORD = re.compile(r"\w")
_DIGIT = re.compile(r"\d")
# Between two names that share what comes after or before them.
_JOINED = re.compile(r"[\s,;:&+/.]*(?:and|y|e)?[\s,;:&+/.]*")


def parts_for(text: str, nicknames: Sequence[str]) -> tuple[str, ...] | None:
    """Return what of a message is about each baby, in the order of the nicknames; None where the words do not decide.

    Each name begins what is told of its baby, or ends it ("6 for Max, 8 for Mia"); names joined by "and" share it. What
    stands before the first name, with no figure in it, goes for all. Decided only where each is named once.
    """
    found = [_places(text, nickname) for nickname in nicknames]
    if len(found) < 2 or any(len(places) != 1 for places in found):
        return None
    order = sorted(range(len(found)), key=lambda n: found[n][0])
    spans = [found[n][0] for n in order]
    head, tail = text[: spans[0][0]], text[spans[-1][1] :]
    between = [text[one[1] : other[0]] for one, other in itertools.pairwise(spans)]
    if not any(_tells(part) for part in between):
        return (text,) * len(found) if not (_DIGIT.search(head) and _DIGIT.search(tail)) else None
    if _DIGIT.search(head):
        parts = _ending(text, spans) if not _WORD.search(tail) else None
    else:
        parts = _beginning(text, spans, head)
    if parts is None:
        return None
    by_name = dict(zip(order, parts, strict=True))
    return tuple(by_name[n] for n in range(len(found)))


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
