"""Wordings of the sign files compiled to regular expressions over a message with one character a word.

How a wording is written: see bot/wordings/README.md. No gap reaches over the end of a sentence; a comma may stand
between any two words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

from bot.concerns.text import NUMBER as ANY_NUMBER
from bot.concerns.text import bare
from bot.concerns.vocabulary import Vocabulary
from bot.wordings.notation import (
    END,
    NUMBER,
    START,
    Choice,
    Gap,
    Part,
    Run,
    Sets,
    WordingError,
    alternatives,
    parse,
)

_NO_WORDS = frozenset({NUMBER, START, END})
_EDGES = frozenset({(START,), (END,)})


@dataclass(frozen=True)
class Pattern:
    """A wording as a regular expression over codes, written and compiled when a text first holds one of its anchors: there are
    thousands, every program that starts would wait seconds for all of them, and most are never needed.

    anchor: codes of which at least one is in every text that matches.
    spans_but: the wording names a "but" itself, so that it may reach over one.
    """

    anchor: str
    spans_but: bool
    _write: Callable[[], str]

    @cached_property
    def expression(self) -> str:
        return self._write()

    @cached_property
    def regex(self) -> re.Pattern[str]:
        return re.compile(self.expression)


class Places:
    """The places of wordings that share their word sets, each read and looked through once: most stand in many wordings."""

    def __init__(self, sets: Sets, like: Places | None = None) -> None:
        self.sets = sets
        self._parts: dict[str, Part] = {}
        self._anchors: dict[str, Anchor] = {}
        # Of each run of words its weight and codes; they hang on no word set. like: others of the same vocabulary.
        self._runs: dict[Run, tuple[int, str]] = {} if like is None else like._runs

    def parts(self, source: str) -> tuple[Part, ...]:
        """Return the parts of a wording in order.

        Raises:
            WordingError: the wording cannot be read.
        """
        return tuple([self._parts.get(place) or self._read(place) for place in source.split()])

    def _read(self, place: str) -> Part:
        (part,) = parse(place, self.sets)
        self._parts[place] = part
        return part

    def anchor(self, place: str, part: Choice, vocabulary: Vocabulary, common: frozenset[str]) -> Anchor:
        found = self._anchors.get(place)
        if found is None:
            found = self._anchors[place] = _anchor(part, self._runs, vocabulary, common)
        return found


@dataclass(frozen=True, slots=True)
class Anchor:
    """What a place is good for: how common its words are, and the codes of which one must be in the text.

    edge: it may stand for the start or the end of a clause, so that no word need be there.
    """

    weight: int
    codes: str
    edge: bool


def entries(source: str, sets: Sets) -> Iterable[str]:
    """Yield every word and stem that a wording names, for the vocabulary.

    Raises:
        WordingError: the wording cannot be read.
    """
    for part in parse(source, sets):
        yield from entries_of(part)


def entries_of(part: Part) -> Iterable[str]:
    """Yield every word and stem of a place."""
    if isinstance(part, Choice):
        yield from (bare(word) for run in part.alternatives for word in run if word not in _NO_WORDS)


def _entry(word: str) -> str:
    """Return a word of a wording as the vocabulary has it."""
    return ANY_NUMBER if word == NUMBER else bare(word)


def group(words: str, sets: Sets, vocabulary: Vocabulary) -> str:
    """Return a regular expression for any of "left|right|@set".

    Raises:
        WordingError: a word set does not exist.
    """
    return _group(alternatives(words, sets), sets, vocabulary, wide=True)


def _group(runs: Sequence[Run], sets: Sets, vocabulary: Vocabulary, *, wide: bool) -> str:
    single: list[str] = []
    found: list[str] = []
    for run in runs:
        if run in {(START,), (END,)}:
            found.append(_edge(run[0], sets, vocabulary, wide=wide))
            continue
        codes = [vocabulary.codes(_entry(word)) for word in run]
        if len(codes) == 1:
            single.append(codes[0])
        else:
            found.append("".join(f"[{code}]" for code in codes))
    if single:
        found.append(f"[{''.join(single)}]")
    return found[0] if len(found) == 1 else f"(?:{'|'.join(found)})"


def _edge(mark: str, sets: Sets, vocabulary: Vocabulary, *, wide: bool) -> str:
    """Return a regular expression for the start ("^") or the end ("$") of a clause."""
    if mark == START:
        starts = group("@clause_start", sets, vocabulary) if wide else "[.?,]"
        return f"(?:^|(?<=[.?,])|(?<={starts}))"
    ends = group("@clause_end", sets, vocabulary) if wide else "[.?,]"
    return f"(?=[.?,]|$|{ends})"


def compile_pattern(
    source: str,
    sets: Sets | Places,
    vocabulary: Vocabulary,
    common: frozenset[str] = frozenset(),
    *,
    wide: bool = True,
) -> Pattern:
    """Compile a wording.

    Args:
        source: the wording.
        sets: the word sets that it may name, or the places of wordings that share them.
        vocabulary: where its words have been added.
        common: everyday words, which make poor anchors.
        wide: whether "^" and "$" hold beside "and", "but", "now" too, and a gap may reach over a comma.

    Raises:
        WordingError: the wording cannot be read, or holds no word that must be there.
    """
    places = sets if isinstance(sets, Places) else Places(sets)
    parts = places.parts(source)
    looked_at = [
        places.anchor(place, part, vocabulary, common)
        for place, part in zip(source.split(), parts, strict=True)
        if isinstance(part, Choice) and _must_stand(part)
    ]
    anchors = [(each.weight, each.codes) for each in looked_at if not each.edge]
    if not anchors:
        raise WordingError(f"the wording {source!r} holds no word that must be there")
    spans_but = any(("but",) in part.alternatives for part in parts if isinstance(part, Choice))
    # Read anew when it is needed: thousands of wordings as parts would take more room than all else of the rules.
    write = partial(_written, source, places.sets, vocabulary, wide=wide)
    return Pattern(min(anchors)[1], spans_but, write)


def _written(source: str, sets: Sets, vocabulary: Vocabulary, *, wide: bool) -> str:
    regex: list[str] = []
    follows = False  # whether a word stands before
    for part in parse(source, sets):
        regex.append(_expression(part, sets, vocabulary, follows=follows, wide=wide))
        follows = follows or (isinstance(part, Choice) and _must_stand(part) and not _is_edge(part))
    return "".join(regex)


def _must_stand(part: Choice) -> bool:
    return not part.optional and not part.beside


def _is_edge(part: Part) -> bool:
    return isinstance(part, Choice) and part.alternatives in {((START,),), ((END,),)}


def _expression(part: Part, sets: Sets, vocabulary: Vocabulary, *, follows: bool, wide: bool) -> str:
    if isinstance(part, Gap):
        within = "[^.?]" if wide else "[^.?,]"
        return f"({within}{{0,{part.most}}}?)"
    expression = _group(part.alternatives, sets, vocabulary, wide=wide)
    if part.beside == "after":
        return f"(?!,?{expression})"
    if part.beside == "before":
        return f"(?<!{expression})"
    if part.optional:
        return f"(?:,?{expression})?"
    return ",?" + expression if follows and wide and not _is_edge(part) else expression


def _anchor(
    part: Choice, known: dict[Run, tuple[int, str]], vocabulary: Vocabulary, common: frozenset[str]
) -> Anchor:
    found = []
    for run in part.alternatives:
        weighed = known.get(run)
        if weighed is None:
            weighed = known[run] = _weighed(run, vocabulary, common)
        found.append(weighed)
    codes = "".join([each for _, each in found])
    return Anchor(sum([weight for weight, _ in found]), codes, not _EDGES.isdisjoint(part.alternatives))


def _weighed(run: Run, vocabulary: Vocabulary, common: frozenset[str]) -> tuple[int, str]:
    if run in _EDGES:
        return 0, ""  # what stands for the end of a clause is no word, and has no code
    rarest = min(map(_entry, run), key=lambda word: (word in common, -len(word)))
    return 100 if rarest in common or rarest == ANY_NUMBER else 1, vocabulary.codes(rarest)
