"""The library: every activity that a plan may name, read from its files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from bot.activities.schema import Activity
from bot.activities.sides import cues_for, filled, side_words
from bot.errors import InputProblem, said_of
from scheduling.sides import AffectedSide, Side


class BadActivityFile(ValueError):
    """One or more activity files cannot be used. problems: one sentence each, naming file and field."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class Library(Mapping[str, Activity]):
    """Activities by id, in the order of their ids."""

    def __init__(self, activities: Mapping[str, Activity]) -> None:
        self._activities = dict(sorted(activities.items()))

    def __getitem__(self, activity: str) -> Activity:
        return self._activities[activity]

    def __iter__(self) -> Iterator[str]:
        return iter(self._activities)

    def __len__(self) -> int:
        return len(self._activities)

    def name(self, activity: str, language: str) -> str:
        """Return the display name (plain text, at most 24 characters); of an unknown id, the id in words."""
        known = self._activities.get(activity)
        return known.text(language).name if known else activity.replace("_", " ")

    def in_sentence(self, activity: str, language: str) -> str:
        """Return the name as it stands within a sentence (plain text); of an unknown id, the id in words."""
        known = self._activities.get(activity)
        return known.text(language).in_sentence if known else activity.replace("_", " ")

    def must_be_taught(self, activity: str) -> bool:
        """Say whether only carers whom the therapist taught may be asked for an activity."""
        return activity in self._activities and self._activities[activity].only_if_switched_on

    def cue(
        self,
        activity: str,
        language: str,
        nth: int,
        *,
        nickname: str,
        affected_side: AffectedSide,
        side: Side | None,
    ) -> str:
        """Return the nth one-line handling cue for a reminder (plain text; nth counts on past the last cue).

        Raises:
            KeyError: the library holds no such activity.
        """
        found = self._activities[activity]
        cues = cues_for(found, language=language, affected_side=affected_side, side=side)
        values = side_words(found, language=language, affected_side=affected_side, side=side)
        return filled([cues[nth % len(cues)]], values | {"nickname": nickname})[0]


def load_library(extra: Path | None = None) -> Library:
    """Return our activities, with those of a clinic's own folder added, or put in place of ours by the same id.

    Raises:
        BadActivityFile: a file cannot be read or breaks the schema, or the folder is missing.
    """
    ours = _ours()
    if extra is None:
        return Library(ours)
    if not extra.is_dir():
        raise BadActivityFile([f"{extra}: no such folder; name a folder of activity files"])
    theirs, problems = _read_folder(extra)
    problems += [
        f"{activity}.yaml: only_if_switched_on: must stay true, since ours is taught and switched on by the therapist"
        for activity, changed in theirs.items()
        if activity in ours and ours[activity].only_if_switched_on and not changed.only_if_switched_on
    ]
    if problems:
        raise BadActivityFile(problems)
    return Library(ours | theirs)


@cache
def _ours() -> dict[str, Activity]:
    found, problems = _read_folder(files("bot.activities").joinpath("texts"))
    if problems:
        raise BadActivityFile(problems)
    return found


def _read_folder(folder: Traversable) -> tuple[dict[str, Activity], list[str]]:
    found: dict[str, Activity] = {}
    problems: list[str] = []
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not file.name.endswith((".yaml", ".yml")):
            continue
        try:
            activity = _read_file(file)
        except BadActivityFile as error:
            problems += error.problems
        else:
            found[activity.activity] = activity
    return found, problems


def _read_file(file: Traversable) -> Activity:
    try:
        content: Any = yaml.safe_load(file.read_text(encoding="utf-8"))
    except UnicodeDecodeError:
        raise BadActivityFile([f"{file.name}: is not UTF-8 text; save it as UTF-8"]) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        where = f" line {mark.line + 1}:" if mark else ""
        problem = getattr(error, "problem", None) or "cannot be read"
        raise BadActivityFile([f"{file.name}:{where} is not YAML: {problem}"]) from None
    if not isinstance(content, dict):
        raise BadActivityFile([f"{file.name}: must hold the fields of one activity; README.md lists them"])
    try:
        activity = Activity.model_validate(content)
    except ValidationError as error:
        raise BadActivityFile([_sentence(file.name, problem) for problem in error.errors()]) from None
    if file.name != f"{activity.activity}.yaml":
        raise BadActivityFile([f"{file.name}: must be called {activity.activity}.yaml, after its activity"])
    return activity


def _sentence(file: str, problem: Any) -> str:
    """Return one problem found by the schema as "file: field[place]: what is wrong"."""
    where = ""
    for part in problem["loc"]:
        where += f"[{part}]" if isinstance(part, int) else f".{part}" if where else str(part)
    message = said_of(problem)
    return f"{file}: {where}: {message}" if where else f"{file}: {message}"


def library_of(clinics_own: Path | None) -> Library:
    """Return the activities, a clinic's own with them. Raises InputProblem for a file that cannot be used."""
    try:
        return load_library(clinics_own)
    except BadActivityFile as error:
        raise InputProblem(error.problems) from None
