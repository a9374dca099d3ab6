"""Errors that end a command, each one clear sentence.

UnderwingError
├── InputProblem      what was given is wrong (exit status 2); may carry several problems
└── WorldProblem      the world is in the way: database away, messaging service refuses (exit status 1)
"""

from __future__ import annotations

from collections.abc import Iterable


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
