"""The checked data files compiled: word sets, wordings and triggers against one vocabulary."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bot.concerns import schema
from bot.concerns.context import Context
from bot.concerns.patterns import Pattern, compile_pattern, entries, group
from bot.concerns.temperature import TemperatureReader
from bot.concerns.text import bare
from bot.concerns.vocabulary import Vocabulary
from bot.concerns.weak_arm import WeakArm
from bot.text import fold
from bot.wordings.notation import NUMBER, WordingError, take_in_sets

Index = Mapping[str, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Wording:
    """A compiled wording and the sign it belongs to (None: it only looks like one)."""

    pattern: Pattern
    sign: schema.SignEntry | None


@dataclass(frozen=True, slots=True)
class Wordings:
    """Wordings, and for each code of their anchors the places of those that need it."""

    held: tuple[Wording, ...]
    by_code: Index


@dataclass(frozen=True, slots=True)
class Rules:
    """Everything that the reader needs."""

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


def compile_rules(
    words: schema.WordsFile,
    not_signs: schema.NotSignsFile,
    thresholds: schema.TemperatureFile,
    sign_files: Mapping[str, schema.SignFile],
) -> Rules:
    """Compile the data files.

    Raises:
        WordingError: with one line a problem.
    """
    signs = [(name, sign) for name, file in sign_files.items() for sign in file.sign]
    compiler = _Compiler(words)
    problems = [
        *(
            problem
            for name, sign in signs
            for problem in compiler.learn(f"{name}: {sign.id}", _sources(sign))
        ),
        *(
            problem
            for entry in not_signs.looks_like
            for problem in compiler.learn(f"not_signs.toml: {entry.id}", [*entry.en, *entry.es])
        ),
    ]
    if problems:
        raise WordingError("\n".join(problems))
    return Rules(
        vocabulary=compiler.vocabulary,
        signs={sign.id: sign for _, sign in signs},
        wordings=compiler.wordings((sign, [*sign.en, *sign.es]) for _, sign in signs),
        looks_like=compiler.wordings((None, [*entry.en, *entry.es]) for entry in not_signs.looks_like),
        unless={sign.id: compiler.compile(sign.unless, wide=False) for _, sign in signs},
        together=tuple(rule for file in sign_files.values() for rule in file.together),
        thresholds=thresholds,
        temperatures=TemperatureReader(compiler.expression),
        weak_arm=WeakArm(compiler.expression),
        context=Context(compiler.expression).prepared(),
        polite=re.compile(compiler.expression("@polite")),
    )


def _sources(sign: schema.SignEntry) -> list[str]:
    return [*sign.en, *sign.es, *sign.unless]


class _Compiler:
    """Compiles wordings against one vocabulary."""

    def __init__(self, words: schema.WordsFile) -> None:
        self._sets = take_in_sets(words.sets)
        self._common = frozenset(bare(fold(word)) for word in words.common)
        self.vocabulary = Vocabulary(
            misspelt=tuple(bare(fold(word)) for word in words.misspelt),
            ordinary=frozenset(bare(fold(word)) for word in words.ordinary),
        )
        for word in [word for runs in self._sets.values() for run in runs for word in run]:
            if word != NUMBER:
                self.vocabulary.add(bare(word))
        for word in self.vocabulary.misspelt:
            self.vocabulary.add(word)

    def learn(self, place: str, sources: Iterable[str]) -> list[str]:
        """Add the words of some wordings, and return what is wrong with them."""
        problems: list[str] = []
        for source in sources:
            try:
                for entry in entries(source, self._sets):
                    self.vocabulary.add(entry)
            except WordingError as error:
                problems.append(f"{place}: the wording {source!r}: {error}")
        return problems

    def compile(self, sources: Iterable[str], *, wide: bool = True) -> tuple[Pattern, ...]:
        return tuple(
            compile_pattern(source, self._sets, self.vocabulary, self._common, wide=wide)
            for source in sources
        )

    def wordings(self, signs: Iterable[tuple[schema.SignEntry | None, list[str]]]) -> Wordings:
        held = tuple(Wording(pattern, sign) for sign, sources in signs for pattern in self.compile(sources))
        index: dict[str, list[int]] = {}
        for place, wording in enumerate(held):
            for code in set(wording.pattern.anchor):
                index.setdefault(code, []).append(place)
        return Wordings(held, {code: tuple(places) for code, places in index.items()})

    def expression(self, words: str) -> str:
        return group(words, self._sets, self.vocabulary)
