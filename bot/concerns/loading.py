"""The data files read, checked and compiled: what a clinic edits becomes rules, or one clear error a problem."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from bot.concerns import schema
from bot.concerns.context import Context
from bot.concerns.patterns import Pattern, PatternError, compile_pattern, entries, group
from bot.concerns.text import MARKS, NUMBER, fold_word
from bot.concerns.vocabulary import Vocabulary

WORDS, NOT_SIGNS, TEMPERATURE = "words.toml", "not_signs.toml", "temperature.toml"
Model = TypeVar("Model", bound=BaseModel)
Sets = Mapping[str, tuple[str, ...]]


class SignsError(ValueError):
    """The data files cannot be used. problems: one sentence each, naming file and place."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True, slots=True)
class Wording:
    """A compiled wording and the sign it belongs to (None: it only looks like one)."""

    pattern: Pattern
    sign: schema.SignEntry | None


@dataclass(frozen=True, slots=True)
class Rules:
    """Everything that the reader needs."""

    vocabulary: Vocabulary
    signs: Mapping[str, schema.SignEntry]
    wordings: tuple[Wording, ...]
    by_code: Mapping[str, tuple[int, ...]]
    looks_like: tuple[Wording, ...]
    looks_like_by_code: Mapping[str, tuple[int, ...]]
    unless: Mapping[str, tuple[Pattern, ...]]
    together: tuple[schema.TogetherEntry, ...]
    temperature: schema.TemperatureFile
    context: Context
    expression: Callable[[str], str]


@cache
def shipped_rules() -> Rules:
    """Return the rules that come with the program."""
    return load_rules(files("bot.concerns").joinpath("signs"))


def load_rules(folder: Traversable) -> Rules:
    """Read and compile every TOML file of a folder.

    Raises:
        SignsError: with one sentence a problem.
    """
    problems: list[str] = []
    words = _read(folder, WORDS, schema.WordsFile, problems)
    not_signs = _read(folder, NOT_SIGNS, schema.NotSignsFile, problems)
    temperature = _read(folder, TEMPERATURE, schema.TemperatureFile, problems)
    names = sorted(
        entry.name
        for entry in folder.iterdir()
        if entry.name.endswith(".toml") and entry.name not in {WORDS, NOT_SIGNS, TEMPERATURE}
    )
    sign_files = {name: _read(folder, name, schema.SignFile, problems) for name in names}
    if words is None or not_signs is None or temperature is None or problems:
        raise SignsError(problems)
    read = {name: file for name, file in sign_files.items() if file is not None}
    problems.extend(_wrong_ids(read))
    rules = _compile(words, not_signs, temperature, read, problems)
    if rules is None or problems:
        raise SignsError(problems)
    return rules


def _read(folder: Traversable, name: str, model: type[Model], problems: list[str]) -> Model | None:
    try:
        return model.model_validate(tomllib.loads(folder.joinpath(name).read_text(encoding="utf-8")))
    except FileNotFoundError:
        problems.append(f"{name}: the file is missing")
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        problems.append(f"{name}: this is not TOML: {error}")
    except ValidationError as error:
        for detail in error.errors():
            place = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in detail["loc"])
            problems.append(f"{name}: {place.lstrip('.')}: {detail['msg']}")
    return None


def _wrong_ids(sign_files: Mapping[str, schema.SignFile]) -> list[str]:
    known: set[str] = set()
    problems: list[str] = []
    for name, file in sign_files.items():
        for sign in file.sign:
            if sign.id in known:
                problems.append(f"{name}: the sign {sign.id!r} is there twice")
            if not sign.en or not sign.es:
                problems.append(f"{name}: the sign {sign.id!r} needs wordings in both languages")
            known.add(sign.id)
    for name, file in sign_files.items():
        for rule in file.together:
            problems.extend(
                f"{name}: the rule {rule.id!r} names {sign!r}, which is no sign"
                for part in rule.all_of
                for sign in part
                if sign not in known
            )
    return problems


@dataclass(slots=True)
class _Compiler:
    """Compiles wordings against one vocabulary, and gathers what is wrong with them."""

    sets: Sets
    vocabulary: Vocabulary
    common: frozenset[str]
    problems: list[str]

    def learn(self, name: str, sources: Iterable[str]) -> None:
        for source in sources:
            try:
                for entry in entries(source, self.sets):
                    self.vocabulary.add(entry)
            except PatternError as error:
                self.problems.append(f"{name}: the wording {source!r}: {error}")

    def compile(self, sources: Iterable[str]) -> tuple[Pattern, ...]:
        return tuple(compile_pattern(source, self.sets, self.vocabulary, self.common) for source in sources)

    def expression(self, words: str) -> str:
        return group(words, self.sets, self.vocabulary)


def _compile(
    words: schema.WordsFile,
    not_signs: schema.NotSignsFile,
    temperature: schema.TemperatureFile,
    sign_files: Mapping[str, schema.SignFile],
    problems: list[str],
) -> Rules | None:
    sets = {
        name: tuple(entry if entry == NUMBER else _set_entry(entry) for entry in held)
        for name, held in words.sets.items()
    }
    try:
        sets = {name: _flatten(name, sets, ()) for name in sets}
    except PatternError as error:
        problems.append(f"{WORDS}: {error}")
        return None
    vocabulary = Vocabulary(
        misspelt=tuple(fold_word(word) for word in words.misspelt),
        ordinary=frozenset(fold_word(word) for word in words.ordinary),
    )
    compiler = _Compiler(sets, vocabulary, frozenset(fold_word(word) for word in words.common), problems)
    for held in sets.values():
        for entry in held:
            for part in entry.split("_"):
                if part not in MARKS and part != NUMBER:
                    vocabulary.add(part)
    for word in vocabulary.misspelt:
        vocabulary.add(word)
    signs = [(name, sign) for name, file in sign_files.items() for sign in file.sign]
    for name, sign in signs:
        compiler.learn(f"{name}: {sign.id}", [*sign.en, *sign.es, *sign.unless])
    for entry in not_signs.looks_like:
        compiler.learn(f"{NOT_SIGNS}: {entry.id}", [*entry.en, *entry.es])
    if problems:
        return None
    try:
        wordings = tuple(
            Wording(pattern, sign) for _, sign in signs for pattern in compiler.compile([*sign.en, *sign.es])
        )
        looks_like = tuple(
            Wording(pattern, None)
            for entry in not_signs.looks_like
            for pattern in compiler.compile([*entry.en, *entry.es])
        )
        return Rules(
            vocabulary=vocabulary,
            signs={sign.id: sign for _, sign in signs},
            wordings=wordings,
            by_code=_index(wordings),
            looks_like=looks_like,
            looks_like_by_code=_index(looks_like),
            unless={sign.id: compiler.compile(sign.unless) for _, sign in signs},
            together=tuple(rule for file in sign_files.values() for rule in file.together),
            temperature=temperature,
            context=Context(compiler.expression),
            expression=compiler.expression,
        )
    except PatternError as error:
        problems.append(str(error))
        return None


def _set_entry(entry: str) -> str:
    return entry if entry.startswith("@") else "_".join(fold_word(part) for part in entry.split())


def _flatten(name: str, sets: Sets, inside: tuple[str, ...]) -> tuple[str, ...]:
    """Return a set with the sets it names ("@lips") replaced by their words."""
    if name in inside:
        raise PatternError(f"the word set {name!r} holds itself")
    found: list[str] = []
    for entry in sets[name]:
        if entry.startswith("@"):
            if entry[1:] not in sets:
                raise PatternError(f"the word set {name!r} names {entry!r}, which does not exist")
            found.extend(_flatten(entry[1:], sets, (*inside, name)))
        else:
            found.append(entry)
    return tuple(dict.fromkeys(found))


def _index(wordings: tuple[Wording, ...]) -> Mapping[str, tuple[int, ...]]:
    index: dict[str, list[int]] = {}
    for place, wording in enumerate(wordings):
        for code in set(wording.pattern.anchor):
            index.setdefault(code, []).append(place)
    return {code: tuple(places) for code, places in index.items()}
