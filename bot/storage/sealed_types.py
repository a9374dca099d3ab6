"""Column types of what is sealed at rest. Each value is sealed on its way in and opened on its way out; none stays none.

Encrypted* are sealed with the clinic's key and never twice alike; Lookup* under the key of look-ups, always alike.
"""

from __future__ import annotations

import json
from abc import abstractmethod
from typing import TypeVar, cast

from sqlalchemy import Dialect, LargeBinary
from sqlalchemy.types import TypeDecorator

from bot.domain.ids import ChatId
from bot.domain.json_value import JsonValue
from bot.errors import InputProblem
from bot.storage.direct import Direct, Processor
from bot.storage.encryption import Encryption
from bot.storage.lookup import Lookup

Value = TypeVar("Value")


class SealedType(Direct, TypeDecorator[Value]):
    """A column of sealed values: what a kind seals and opens is all that differs."""

    impl = LargeBinary
    cache_ok = True

    @abstractmethod
    def seal(self, value: Value, dialect: Dialect) -> bytes: ...

    @abstractmethod
    def open(self, sealed: bytes, dialect: Dialect) -> Value: ...

    def process_bind_param(self, value: Value | None, dialect: Dialect) -> bytes | None:
        return None if value is None else self.seal(value, dialect)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Value | None:
        return None if value is None else self.open(value, dialect)

    def stored_directly(self, dialect: Dialect) -> Processor:
        return lambda value: None if value is None else self.seal(value, dialect)

    def read_directly(self, dialect: Dialect) -> Processor:
        return lambda sealed: self.open(sealed, dialect)


class EncryptedText(SealedType[str]):
    """A text."""

    cache_ok = True

    def seal(self, value: str, dialect: Dialect) -> bytes:
        return encryption_of(dialect).seal(value)

    def open(self, sealed: bytes, dialect: Dialect) -> str:
        return encryption_of(dialect).open(sealed)


class EncryptedBytes(SealedType[bytes]):
    """The content of a file."""

    cache_ok = True

    def seal(self, value: bytes, dialect: Dialect) -> bytes:
        return encryption_of(dialect).seal_bytes(value)

    def open(self, sealed: bytes, dialect: Dialect) -> bytes:
        return encryption_of(dialect).open_bytes(sealed)


class EncryptedJson(SealedType[JsonValue]):
    """A JSON value."""

    cache_ok = True

    def seal(self, value: JsonValue, dialect: Dialect) -> bytes:
        return encryption_of(dialect).seal(json.dumps(value, ensure_ascii=False))

    def open(self, sealed: bytes, dialect: Dialect) -> JsonValue:
        return cast(JsonValue, json.loads(encryption_of(dialect).open(sealed)))


class LookupChat(SealedType[ChatId]):
    """A chat that can be looked up."""

    cache_ok = True

    def seal(self, value: ChatId, dialect: Dialect) -> bytes:
        return lookup_of(dialect).seal_chat(value)

    def open(self, sealed: bytes, dialect: Dialect) -> ChatId:
        return lookup_of(dialect).open_chat(sealed)


class LookupWord(SealedType[str]):
    """A word of a short list that can be looked up; how often each stands there can be counted."""

    cache_ok = True

    def seal(self, value: str, dialect: Dialect) -> bytes:
        return lookup_of(dialect).seal_word(value)

    def open(self, sealed: bytes, dialect: Dialect) -> str:
        return lookup_of(dialect).open_word(sealed)


# Each engine has a dialect of its own; the store hangs both keys there, so no global is needed.


def encryption_of(dialect: Dialect) -> Encryption:
    return cast(Encryption, getattr(dialect, "encryption"))  # noqa: B009


def lookup_of(dialect: Dialect) -> Lookup:
    """Return the look-ups. Raises InputProblem where the clinic's key does not open the database's."""
    found: Lookup | None = getattr(dialect, "lookup", None)
    if found is None:
        raise InputProblem(
            "UNDERWING_KEY does not open what is stored; set the key that this database was written with"
        )
    return found
