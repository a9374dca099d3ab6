"""Errors that end a command, each one clear sentence.

UnderwingError
├── InputProblem      what was given is wrong (exit status 2); may carry several problems
└── WorldProblem      the world is in the way: database away, messaging service refuses (exit status 1)
"""

from __future__ import annotations

import traceback
from collections.abc import Iterable
from pathlib import Path

MOST_FRAMES, MOST_CAUSES = 12, 4  # told of an error


class UnderwingError(Exception):
    """Something that the person at the command line can mend."""

    exit_status = 1

    def __init__(self, problems: str | Iterable[str]) -> None:
        self.problems: tuple[str, ...] = (problems,) if isinstance(problems, str) else tuple(problems)
        super().__init__("\n".join(self.problems))


class InputProblem(UnderwingError):
    """A file, an option or a setting cannot be used as it stands."""

    exit_status = 2


class WorldProblem(UnderwingError):
    """What was asked is right, but cannot be done now."""

    exit_status = 1


def where_it_broke(error: BaseException | None) -> str:
    """Return an error's kind and the lines of code that it came through, the last first; not its message, which may hold
    a person's words."""
    told: list[str] = []
    while error is not None and len(told) < MOST_CAUSES:
        frames = reversed(traceback.extract_tb(error.__traceback__))
        lines = [f"{Path(each.filename).name}:{each.lineno} {each.name}" for each in frames]
        told.append(" < ".join([type(error).__name__, *lines[:MOST_FRAMES]]))
        error = error.__cause__ or error.__context__
    return " | after ".join(told)
