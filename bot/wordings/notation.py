"""The one parser of wordings. What each sign of the notation means stands in README.md beside this file.

The readers of concerns and of replies share this parser; each compiles the parts for its own way of matching.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from bot.text import fold

START, END, NUMBER = "^", "$", "@number"

Run = tuple[str, ...]
"""Words one after the other, folded; a stem keeps its "*", and START, END and NUMBER stand for themselves."""

Sets = Mapping[str, tuple[Run, ...]]
"""Named word sets, each with the sets that it names taken in."""

_GAP = re.compile(r"\.\.(\d+)$")
_PLACE = re.compile(r"(?P<beside><!|!)?(?P<words>.+?)(?P<optional>(?<=.)\?)?$")
_ENDINGS = re.compile(r"\(([^()]*)\)")
_MISPLACED = frozenset("?!<()")


class WordingError(ValueError):
    """A wording, or a word set, is not written in the notation."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One place of a wording, where any of the alternatives may stand.

    beside: "after" where none of them may follow the words before, "before" where none may precede the words after.
    """

    alternatives: tuple[Run, ...]
    optional: bool = False
    beside: Literal["", "before", "after"] = ""


@dataclass(frozen=True, slots=True)
class Gap:
    """At most so many words of any kind."""

    most: int


Part = Choice | Gap


def parse(source: str, sets: Sets) -> tuple[Part, ...]:
    """Return the parts of a wording in order.

    Raises:
        WordingError: with the place that cannot be read, or the word set that does not exist.
    """
    return tuple(_part(place, sets) for place in source.split())


def _part(place: str, sets: Sets) -> Part:
    gap = _GAP.match(place)
    if gap:
        return Gap(int(gap[1]))
    found = _PLACE.match(place)
    if found is None:
        raise WordingError(f"cannot read {place!r}")
    beside: Literal["", "before", "after"] = ""
    if found["beside"]:
        beside = "after" if found["beside"] == "!" else "before"
    return Choice(alternatives(found["words"], sets), bool(found["optional"]), beside)


def alternatives(words: str, sets: Sets) -> tuple[Run, ...]:
    """Return what "left|right|@set" stands for.

    Raises:
        WordingError: an alternative is empty, a sign is out of place, or a word set does not exist.
    """
    found: list[Run] = []
    for alternative in words.split("|"):
        if not alternative:
            raise WordingError("an alternative is empty")
        if alternative == NUMBER:
            found.append((NUMBER,))
        elif alternative.startswith("@") and len(alternative) > 1:
            if alternative[1:] not in sets:
                raise WordingError(f"there is no word set {alternative[1:]!r}")
            found.extend(sets[alternative[1:]])
        else:
            found.extend(_run(form) for form in _forms(alternative))
    return tuple(found)


def _forms(word: str) -> list[str]:
    """Return a word with each of its endings: "turn(s/ing)" is "turns" and "turning"."""
    match = _ENDINGS.search(word)
    if match is None:
        return [word]
    before, after = word[: match.start()], word[match.end() :]
    return [form for ending in match[1].split("/") for form in _forms(before + ending + after)]


def _run(alternative: str) -> Run:
    if _MISPLACED & set(alternative):
        raise WordingError(f"cannot read {alternative!r}")
    run = tuple(fold(word) for word in alternative.split("_") if word)
    if not run:
        raise WordingError("an alternative is empty")
    return run


def take_in_sets(written: Mapping[str, Iterable[str]], known: Sets | None = None) -> Sets:
    """Return the word sets with each "@name" in them replaced by the words of that set.

    known: sets that the written ones may name; they are not among those returned.

    Raises:
        WordingError: a set holds itself, names one that does not exist, bears a name that is known, or holds what is
            no word.
    """
    done: dict[str, tuple[Run, ...]] = dict(known or {})
    twice = written.keys() & done.keys()
    if twice:
        raise WordingError(f"there is already a word set {min(twice)!r}")
    return {name: _take_in(name, written, done, ()) for name in written}


def _take_in(
    name: str, written: Mapping[str, Iterable[str]], done: dict[str, tuple[Run, ...]], inside: tuple[str, ...]
) -> tuple[Run, ...]:
    if name in inside:
        raise WordingError(f"the word set {name!r} holds itself")
    if name not in done:
        runs: list[Run] = []
        for entry in written[name]:
            if not entry.startswith("@") or entry in {"@", NUMBER}:
                runs.extend(alternatives(entry, {}))
            elif entry[1:] in written or entry[1:] in done:
                runs.extend(_take_in(entry[1:], written, done, (*inside, name)))
            else:
                raise WordingError(f"the word set {name!r} names {entry!r}, which does not exist")
        done[name] = tuple(dict.fromkeys(runs))
    return done[name]
