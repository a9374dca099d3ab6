"""The checked data files compiled: word sets, wordings and triggers against one vocabulary."""

from __future__ import annotations

import re
from collections import ChainMap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from bot.concerns import schema
from bot.concerns.context import Context
from bot.concerns.patterns import Pattern, Places, compile_pattern, entries_of, group
from bot.concerns.temperature import TemperatureReader
from bot.concerns.text import bare
from bot.concerns.vocabulary import Vocabulary
from bot.concerns.weak_arm import WeakArm
from bot.text import fold
from bot.wordings.notation import NUMBER, Part, Sets, WordingError, take_in_sets

Index = Mapping[str, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Wording:
    """A compiled wording and the sign it belongs to (None: it only looks like one).

    loose: it raises only where the learned reader agrees.
    """

    pattern: Pattern
    sign: schema.SignEntry | None
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Wordings:
    """Wordings, and for each code of their anchors the places of those that need it."""

    held: tuple[Wording, ...]
    by_code: Index


@dataclass(frozen=True, slots=True)
class Rules:
    """Everything that the reader needs.

    sets_of: per code of the vocabulary, the shared word sets that its word is in. runs_of: per code, the runs of words
    that begin with it, and their sets.
    """

    vocabulary: Vocabulary
    signs: Mapping[str, schema.SignEntry]
    wordings: Wordings
    looks_like: Wordings
    unless: Mapping[str, tuple[Pattern, ...]]
    together: tuple[schema.TogetherEntry, ...]
    thresholds: schema.TemperatureFile
    temperatures: TemperatureReader
    weak_arm: WeakArm
    context: Context
    polite: re.Pattern[str]
    advice: Mapping[str, schema.Advice]
    discreet: frozenset[str]
    holds_arm: frozenset[str]
    illness: frozenset[str]
    sets_of: Mapping[str, tuple[str, ...]]
    runs_of: Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]


@dataclass(frozen=True, slots=True)
class DataFiles:
    """The checked data files, by name where there are several of a kind."""

    words: schema.WordsFile
    sets: Mapping[str, schema.SetsFile]
    not_signs: schema.NotSignsFile
    thresholds: schema.TemperatureFile
    signs: Mapping[str, schema.SignFile]


@dataclass(frozen=True, slots=True)
class _Group:
    """Wordings that share their word sets. place: of the group, for messages. loose: those of the wordings that are."""

    place: str
    sign: schema.SignEntry | None
    sources: tuple[str, ...]
    loose: frozenset[str]
    unless: tuple[str, ...]
    places: Places


def compile_rules(files: DataFiles) -> Rules:
    """Compile the data files.

    Raises:
        WordingError: with one line a problem.
    """
    compiler = _Compiler(files.words, files.sets)
    signs = [(name, sign) for name, file in files.signs.items() for sign in file.sign]
    groups = [compiler.group(f"{name}: {sign.id}", sign, sign) for name, sign in signs]
    aside = [
        compiler.group(f"not_signs.toml: {entry.id}", None, entry) for entry in files.not_signs.looks_like
    ]
    if compiler.problems:
        raise WordingError("\n".join(compiler.problems))
    rules = Rules(
        vocabulary=compiler.vocabulary,
        signs={sign.id: sign for _, sign in signs},
        wordings=compiler.wordings(groups),
        looks_like=compiler.wordings(aside),
        unless={group.sign.id: compiler.unless(group) for group in groups if group.sign is not None},
        together=tuple(rule for file in files.signs.values() for rule in file.together),
        thresholds=files.thresholds,
        temperatures=TemperatureReader(compiler.expression),
        weak_arm=WeakArm(compiler.expression),
        context=Context(compiler.expression).prepared(),
        polite=re.compile(compiler.expression("@polite")),
        advice=_advice(files),
        discreet=frozenset(sign.id for _, sign in signs if sign.discreet),
        holds_arm=frozenset(entry.id for entry in _entries(files) if entry.holds_arm),
        illness=frozenset(entry.id for entry in _entries(files) if entry.illness),
        sets_of=compiler.sets_of(),
        runs_of=compiler.runs_of(),
    )
    compiler.forget_places()
    return rules


def _entries(files: DataFiles) -> Iterator[schema.SignEntry | schema.TogetherEntry]:
    for file in files.signs.values():
        yield from file.sign
        yield from file.together


def _advice(files: DataFiles) -> dict[str, schema.Advice]:
    """Return the text that each sign names, signs made of others included; a hint names none."""
    return {entry.id: entry.advice for entry in _entries(files) if entry.advice is not None}


class _Compiler:
    """Compiles wordings against one vocabulary. problems: what is wrong with the groups made so far."""

    def __init__(self, words: schema.WordsFile, sets: Mapping[str, schema.SetsFile]) -> None:
        self._sets = dict(_all_sets(sets))
        self._places = Places(self._sets)  # of wordings with no sets of their own
        self._learned: dict[
            int, Part
        ] = {}  # the places whose words are in the vocabulary; kept, so that no other gets their id
        self._common = frozenset(bare(fold(word)) for word in words.common)
        self.problems: list[str] = []
        self.vocabulary = Vocabulary(
            misspelt=tuple(bare(fold(word)) for word in words.misspelt),
            ordinary=frozenset(bare(fold(word)) for word in words.ordinary),
        )
        self._learn_sets(self._sets)
        for word in self.vocabulary.misspelt:
            self.vocabulary.add(word)

    def forget_places(self) -> None:
        """Drop what only compiling needs: the rules keep this compiler for the expressions that are still to be written."""
        self._places, self._learned = Places(self._sets), {}

    def _learn_sets(self, sets: Sets) -> None:
        for word in [word for runs in sets.values() for run in runs for word in run]:
            if word != NUMBER:
                self.vocabulary.add(bare(word))

    def group(
        self, place: str, sign: schema.SignEntry | None, entry: schema.SignEntry | schema.LooksLike
    ) -> _Group:
        """Return the wordings of an entry, with their words added to the vocabulary."""
        sets: Sets = {}
        try:
            sets = take_in_sets(entry.sets, self._sets)
        except WordingError as error:
            self.problems.append(f"{place}: {error}")
            return _Group(place, sign, (), frozenset(), (), self._places)
        unless, near, loosely = (sign.unless, sign.near, sign.loosely) if sign is not None else ((), (), ())
        sources = (*entry.en, *entry.es, *loosely, *near, *(_turned(source) for source in near))
        loose = frozenset(sources if sign is not None and sign.loose else loosely)
        words = tuple(each.words for each in unless)
        places = Places(ChainMap(dict(sets), self._sets), like=self._places) if sets else self._places
        made = _Group(place, sign, sources, loose, words, places)
        for source in (*made.sources, *made.unless):
            try:
                self._learn(places.parts(source))
            except WordingError as error:
                self.problems.append(f"{place}: the wording {source!r}: {error}")
        return made

    def _learn(self, parts: Iterable[Part]) -> None:
        for part in parts:
            if id(part) not in self._learned:
                self._learned[id(part)] = part
                for word in entries_of(part):
                    self.vocabulary.add(word)

    def _compile(self, source: str, group: _Group, *, wide: bool) -> Pattern:
        try:
            return compile_pattern(source, group.places, self.vocabulary, self._common, wide=wide)
        except WordingError as error:
            raise WordingError(f"{group.place}: {error}") from None

    def unless(self, group: _Group) -> tuple[Pattern, ...]:
        return tuple(self._compile(source, group, wide=False) for source in group.unless)

    def wordings(self, groups: Iterable[_Group]) -> Wordings:
        held = tuple(
            Wording(self._compile(source, group, wide=True), group.sign, source in group.loose)
            for group in groups
            for source in group.sources
        )
        index: dict[str, list[int]] = {}
        for place, wording in enumerate(held):
            for code in set(wording.pattern.anchor):
                index.setdefault(code, []).append(place)
        return Wordings(held, {code: tuple(places) for code, places in index.items()})

    def sets_of(self) -> dict[str, tuple[str, ...]]:
        """Return the shared word sets that hold each word alone, in the order of the alphabet."""
        held: dict[str, list[str]] = {}
        for name, runs in sorted(self._sets.items()):
            words = {run[0] for run in runs if len(run) == 1 and run[0] != NUMBER}
            for code in sorted({code for word in words for code in self.vocabulary.codes(bare(word))}):
                held.setdefault(code, []).append(name)
        return {code: tuple(names) for code, names in held.items()}

    def runs_of(self) -> dict[str, tuple[tuple[tuple[str, ...], str], ...]]:
        """Return, by the code of its first word, every run of words of a shared set: the codes of the words after it, and the set."""
        held: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for name, runs in sorted(self._sets.items()):
            for run in dict.fromkeys(run for run in runs if len(run) > 1 and NUMBER not in run):
                first, *after = (self.vocabulary.codes(bare(word)) for word in run)
                for code in sorted(first):
                    held.setdefault(code, []).append((tuple(after), name))
        return {code: tuple(found) for code, found in held.items()}

    def expression(self, words: str) -> str:
        """Return the regular expression of words that the code itself asks for: "@set|word"."""
        try:
            return group(words, self._sets, self.vocabulary)
        except WordingError as error:
            raise WordingError(f"words_*.toml: {error}") from None


def _turned(source: str) -> str:
    """Return a wording with its places in the opposite order."""
    return " ".join(reversed(source.split()))


def _all_sets(files: Mapping[str, schema.SetsFile]) -> Sets:
    """Return the sets of all files; a set may name those of another file."""
    written: dict[str, tuple[str, ...]] = {}
    for name, file in files.items():
        twice = written.keys() & file.sets.keys()
        if twice:
            raise WordingError(f"{name}: there is already a word set {min(twice)!r}")
        written.update(file.sets)
    try:
        return take_in_sets(written)
    except WordingError as error:
        where = next(
            (name for name, file in files.items() for held in file.sets if repr(held) in str(error)), ""
        )
        raise WordingError(f"{where}: {error}") from None
