"""What a button's data says: a verb and its arguments, written and read by one codec.

The data travels through the messaging service and comes back years later or altered, so that what cannot be read is
None and never an error. "verb:first:second"; empty arguments at the end are left out.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar, TypeVarTuple, Unpack, overload

from bot.domain.ids import (
    AnswerId,
    CarerId,
    ConcernId,
    EntryId,
    MessageId,
    QuestionId,
    ReminderId,
    TherapistId,
)
from bot.domain.people import Therapist
from bot.features.context import CarerContext, Context
from bot.features.events import Event
from bot.parsing.dates import iso_date
from bot.parsing.period import Span, decoded, encoded

MOST_BYTES = 64  # of a button's data, by the messaging service
LONGEST_REF = 24  # bytes of a family's id that is written out
HIGHEST_NUMBER = 2**63 - 1  # of a row
DayPart = int | Literal["none", "night"]  # minutes of the day, a count, or a word in their place
MOST_COUNTED = 9999  # of days, minutes, times or pages; a calendar ends, where a row's number does not
MOST_MINUTES = 1440  # of one entry: a day has no more

A = TypeVar("A")
B = TypeVar("B")
C = TypeVar("C")
S = TypeVar("S", bound=str)
Args = TypeVarTuple("Args")


@dataclass(frozen=True, slots=True)
class Argument(Generic[A]):
    """How one argument is written and read. read: raises ValueError for what is none. rest: may hold colons."""

    write: Callable[[A], str]
    read: Callable[[str], A]
    rest: bool = False


def _number(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,19}", text) or int(text) > HIGHEST_NUMBER:
        raise ValueError(text)
    return int(text)


def _count(text: str) -> int:
    if (count := _number(text)) > MOST_COUNTED:
        raise ValueError(text)
    return count


def _asked(text: str) -> int | None:
    return None if text == "ask" else _count(text)


def _day_part(text: str) -> DayPart:
    match text:
        case "none" | "night":
            return text
        case _:
            return _count(text)


def _word(text: str) -> str:
    if not re.fullmatch(r"[^:\x00-\x1f\x7f]+", text):
        raise ValueError(text)
    return text


def _text(text: str) -> str:
    if any(not character.isprintable() for character in text):
        raise ValueError(text)
    return text


def _span(text: str) -> Span:
    span = decoded(text)
    if span is None:
        raise ValueError(text)
    return span


def _day(text: str) -> str:
    if iso_date(text) is None:
        raise ValueError(text)
    return text


def ref_of(family_id: str) -> str:
    """Return what names a family in a button: its id, or a short mark of it where the id is long."""
    if len(family_id.encode()) <= LONGEST_REF:
        return family_id
    return "#" + mark_of(family_id, 12)


def mark_of(text: str, digits: int = 8) -> str:
    """Return a short mark that stands for a text in a button, where the text itself does not fit."""
    return hashlib.sha256(text.encode()).hexdigest()[:digits]


NUMBER: Argument[int] = Argument(str, _number)  # of a row, or a version
AMOUNT: Argument[int] = Argument(str, _count)
REMINDER: Argument[ReminderId] = Argument(str, lambda text: ReminderId(_number(text)))
ENTRY: Argument[EntryId] = Argument(str, lambda text: EntryId(_number(text)))
QUESTION: Argument[QuestionId] = Argument(str, lambda text: QuestionId(_number(text)))
CONCERN: Argument[ConcernId] = Argument(str, lambda text: ConcernId(_number(text)))
ANSWER: Argument[AnswerId] = Argument(str, lambda text: AnswerId(_number(text)))
THERAPIST: Argument[TherapistId] = Argument(str, lambda text: TherapistId(_word(text)))
CARER: Argument[CarerId] = Argument(str, lambda text: CarerId(_word(text)))
MESSAGE: Argument[MessageId] = Argument(str, lambda text: MessageId(_number(text)))
ASKED_COUNT: Argument[int | None] = Argument(lambda n: "ask" if n is None else str(n), _asked)
DAY_PART: Argument[DayPart] = Argument(str, _day_part)
WORD: Argument[str] = Argument(str, _word)
TEXT: Argument[str] = Argument(str, _text, rest=True)
SPAN: Argument[Span] = Argument(encoded, _span)
DAY: Argument[str] = Argument(str, _day)  # 2026-03-12
FAMILY: Argument[str] = Argument(
    ref_of, _word
)  # written from the id, read as its mark: see access.family_lookup


def optional(argument: Argument[A]) -> Argument[A | None]:
    return Argument(
        lambda value: "" if value is None else argument.write(value),
        lambda text: argument.read(text) if text else None,
        argument.rest,
    )


def one_of(*values: S) -> Argument[S]:
    def read(text: str) -> S:
        for value in values:
            if value == text:
                return value
        raise ValueError(text)

    return Argument(str, read, rest=any(":" in value for value in values))


class DataTooLong(ValueError):
    """A button's data has more bytes than the messaging service takes; the message names the verb."""


@dataclass(frozen=True, slots=True)
class Verb(Generic[*Args]):
    """What a button does. name: the beginning of its data, which may hold a colon ("shape:ask")."""

    name: str
    arguments: tuple[Argument[Any], ...]

    def data(self, *args: *Args) -> str:
        """Return a button's data.

        Raises:
            DataTooLong: it would have more than 64 bytes.
        """
        values: tuple[Any, ...] = args
        parts = [argument.write(value) for argument, value in zip(self.arguments, values, strict=True)]
        while parts and not parts[-1]:
            parts.pop()
        data = ":".join([self.name, *parts])
        if len(data.encode()) > MOST_BYTES:
            raise DataTooLong(
                f"The data of a button {self.name!r} has more than {MOST_BYTES} bytes: {data!r}."
            )
        return data

    def read(self, text: str) -> tuple[*Args] | None:
        """Return the arguments that stand after the name and its colon; None where they cannot be read."""
        most = len(self.arguments)
        if not most:
            return () if not text else None  # type: ignore[return-value]
        rest = self.arguments[-1].rest
        parts = text.split(":", most - 1) if rest else text.split(":")
        if len(parts) > most:
            return None
        parts += [""] * (most - len(parts))
        try:
            read = [argument.read(part) for argument, part in zip(self.arguments, parts, strict=True)]
        except ValueError:
            return None
        return tuple(read)


@overload
def verb(name: str, /) -> Verb[()]: ...
@overload
def verb(name: str, first: Argument[A], /) -> Verb[A]: ...
@overload
def verb(name: str, first: Argument[A], second: Argument[B], /) -> Verb[A, B]: ...
@overload
def verb(name: str, first: Argument[A], second: Argument[B], third: Argument[C], /) -> Verb[A, B, C]: ...
def verb(name: str, /, *arguments: Any) -> Any:
    """Return a verb with the arguments that its buttons carry."""
    return Verb(name, arguments)


# What a press does, by the values of its arguments.
CarerPress = Callable[[CarerContext, tuple[Any, ...]], None]
TherapistPress = Callable[[Context, Event, Therapist, tuple[Any, ...]], None]


def by_carer(verb: Verb[*Args], act: Callable[[CarerContext, Unpack[Args]], None]) -> tuple[str, CarerPress]:
    """Return a verb's name and what its press by a carer does, for a table."""

    def pressed(ctx: CarerContext, args: tuple[Any, ...]) -> None:
        act(ctx, *args)

    return verb.name, pressed


def by_therapist(
    verb: Verb[*Args], act: Callable[[Context, Event, Therapist, Unpack[Args]], None]
) -> tuple[str, TherapistPress]:
    """Return a verb's name and what its press by a therapist does, for a table."""

    def pressed(context: Context, event: Event, therapist: Therapist, args: tuple[Any, ...]) -> None:
        act(context, event, therapist, *args)

    return verb.name, pressed
