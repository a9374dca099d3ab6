"""The data files read and checked: what a clinic edits becomes rules, or one clear sentence a problem."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from bot.concerns import schema
from bot.concerns.compiling import DataFiles, Rules, compile_rules
from bot.wordings.notation import WordingError

WORDS, NOT_SIGNS, TEMPERATURE = "words.toml", "not_signs.toml", "temperature.toml"
SETS = "words_"  # how the names of files of word sets begin
Model = TypeVar("Model", bound=BaseModel)


class SignsError(ValueError):
    """The data files cannot be used. problems: one sentence each, naming file and place."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.problems))


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
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".toml"))
    sets = _read_all(folder, [n for n in names if n.startswith(SETS)], schema.SetsFile, problems)
    others = [n for n in names if not n.startswith(SETS) and n not in {WORDS, NOT_SIGNS, TEMPERATURE}]
    signs = _read_all(folder, others, schema.SignFile, problems)
    if words is None or not_signs is None or temperature is None or problems:
        raise SignsError(problems)
    problems.extend(_wrong_ids(signs))
    if problems:
        raise SignsError(problems)
    try:
        return compile_rules(DataFiles(words, sets, not_signs, temperature, signs))
    except WordingError as error:
        raise SignsError(str(error).splitlines()) from None


def _read_all(
    folder: Traversable, names: Iterable[str], model: type[Model], problems: list[str]
) -> dict[str, Model]:
    files = {name: _read(folder, name, model, problems) for name in names}
    return {name: file for name, file in files.items() if file is not None}


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
            if not ((sign.en and sign.es) or sign.near):
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
