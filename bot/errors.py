"""Errors that end a command, each one clear sentence.

UnderwingError
├── InputProblem      what was given is wrong (exit status 2); may carry several problems
└── WorldProblem      the world is in the way: database away, messaging service refuses (exit status 1)
"""

from __future__ import annotations

import traceback
from collections.abc import Iterable, Mapping
from pathlib import Path

MOST_FRAMES, MOST_CAUSES = 12, 4  # told of an error
# What to give instead, by the kinds of errors that pydantic names (its documentation, "Validation Errors").
_GIVE = {
    **dict.fromkeys(("list_type", "tuple_type", "set_type"), "give a list"),
    **dict.fromkeys(
        ("dict_type", "model_type", "model_attributes_type"), "give named fields, each with its value"
    ),
    "string_type": "give text, in quotes where it looks like a number",
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float"), "give a whole number"),
    **dict.fromkeys(("float_type", "float_parsing", "finite_number"), "give a number"),
    **dict.fromkeys(("bool_type", "bool_parsing"), "give true or false"),
    **dict.fromkeys(
        ("date_type", "date_parsing", "date_from_datetime_parsing"), "give a date, as YYYY-MM-DD"
    ),
    **dict.fromkeys(("time_type", "time_parsing"), "give a time, as HH:MM"),
    "string_too_long": "give at most {max_length} characters",
    "string_too_short": "give text; its shortest length is {min_length}",
    "too_short": "give {min_length} or more",
    "too_long": "give at most {max_length}",
    "greater_than_equal": "give {ge} or more",
    "less_than_equal": "give {le} or less",
    "greater_than": "give more than {gt}",
    "less_than": "give less than {lt}",
    "literal_error": "give {expected}",
}


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


def said_of(problem: Mapping[str, object]) -> str:
    """Return in plain words what to give in place of a value that a schema refused.

    problem: one of the errors of a pydantic ValidationError. A kind that has no words here keeps the schema's own.
    """
    wanted = _GIVE.get(str(problem["type"]))
    context = problem.get("ctx")
    if wanted is None:
        return str(problem["msg"]).removeprefix("Value error, ")
    return wanted.format_map(context) if isinstance(context, Mapping) else wanted


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
