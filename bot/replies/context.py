"""The edges of reading: a context document in, a line of JSON out."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from bot.replies.activities import TELLING
from bot.replies.care_moments import MOST_TIMES, MomentName
from bot.replies.marks import language_of
from bot.replies.reader import read_reply
from bot.replies.reading import ByTimes, Prompted, ReplyContext
from bot.replies.tokens import tokens_of
from bot.text import plain_text

MOST_CHARACTERS = 4096
DEFAULT_WEEKS = 14  # of age, where no context is given (reading rule 17)
ActivityId = Annotated[str, Field(pattern=f"^({'|'.join(sorted(TELLING))})$")]


class BadReply(ValueError):
    """A context or an input line that cannot be read; the message names the field and how to mend it."""


class _Document(BaseModel):
    model_config = ConfigDict(extra="forbid")


class _Prompt(_Document):
    activity: ActivityId
    side: Literal["left", "right"] | None = None
    minutes: float = Field(gt=0, allow_inf_nan=False)


class _Times(_Document):
    activity: ActivityId
    a_day: int = Field(ge=1, le=MOST_TIMES)
    so_far: int | None = Field(default=None, ge=0, le=MOST_TIMES)
    moments: list[MomentName] = Field(default_factory=list)


class _Context(_Document):
    now: AwareDatetime
    language: Literal["en", "es"]
    affected_side: Literal["left", "right", "both"]
    age_weeks: int = Field(ge=0, le=1000)
    plan: list[ActivityId] = Field(default_factory=list)
    prompt: _Prompt | None = None
    times: list[_Times] = Field(default_factory=list)


class _Line(_Document):
    text: str = Field(max_length=MOST_CHARACTERS)
    context: dict[str, object] | None = None


def _first_problem(error: ValidationError, under: str = "") -> str:
    problem = error.errors()[0]
    parts = [str(part) if not isinstance(part, int) else f"[{part}]" for part in problem["loc"]]
    place = ".".join(filter(None, [under, *parts])).replace(".[", "[") or "the document"
    if problem["type"] == "string_pattern_mismatch":
        return f"{place}: unknown activity {problem['input']!r}; use one of {', '.join(TELLING)}."
    if problem["type"] == "missing":
        return f"{place} is missing."
    if problem["type"] == "extra_forbidden":
        return f"{place} is not known; take it out."
    return f"{place}: {problem['msg']}."


def context_from(document: object, under: str = "") -> ReplyContext:
    """Return the context that a parsed JSON document describes (reply-reading.md, "Context").

    Raises:
        BadReply: naming the first field that is missing, unknown or wrong.
    """
    try:
        read = _Context.model_validate(document)
    except ValidationError as error:
        raise BadReply(_first_problem(error, under)) from None
    prompt = read.prompt
    return ReplyContext(
        now=read.now,
        language=read.language,
        affected_side=read.affected_side,
        age_weeks=read.age_weeks,
        plan=tuple(read.plan),
        prompt=Prompted(prompt.activity, prompt.side, prompt.minutes) if prompt else None,
        times=tuple(
            ByTimes(
                each.activity,
                each.a_day,
                each.a_day if each.so_far is None else each.so_far,
                frozenset(each.moments),
            )
            for each in read.times
        ),
    )


def default_context(text: str, now: datetime) -> ReplyContext:
    """Return what a text is read with where no context is given: its own language, no side, every activity, no prompt."""
    language: Literal["en", "es"] = "es" if language_of(tokens_of(plain_text(text))) == "es" else "en"
    return ReplyContext(now, language, "both", DEFAULT_WEEKS, plan=tuple(TELLING))


def answer_line(line: str, now: datetime) -> str:
    """Return the reading of one line {"text": …, "context": {…}} as one line of JSON, or {"error": …}.

    now: local time, for a line without a context.
    """
    try:
        given = _Line.model_validate(json.loads(line))
        if given.context is None:
            context = default_context(given.text, now)
        else:
            context = context_from(given.context, under="context")
        reading = read_reply(given.text, context)
    except json.JSONDecodeError as error:
        return _json({"error": f"The line is not JSON: {error.msg} at character {error.pos + 1}."})
    except RecursionError:
        return _json({"error": "The line is nested too deeply to be read."})
    except ValidationError as problem:
        return _json({"error": _first_problem(problem)})
    except BadReply as problem:
        return _json({"error": str(problem)})
    return _json(reading.as_json())


def _json(document: dict[str, object]) -> str:
    return json.dumps(document, ensure_ascii=False)
