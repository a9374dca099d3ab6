"""Free text at rest: sealed with the clinic's key (Fernet: AES-128-CBC with HMAC-SHA256)."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import cast

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from sqlalchemy import Dialect, LargeBinary
from sqlalchemy.types import TypeDecorator

from bot.domain.json_value import JsonValue
from bot.errors import InputProblem

KEY_HELP = (
    "make one with: python -c 'from cryptography.fernet import Fernet; print(Fernet.generate_key().decode())'"
)


class Encryption:
    """Seals and opens text. Several keys, one a line: the first seals, all open, so that a key can be changed.

    unreadable: how often something could not be opened, since a key is missing or the value is damaged.
    """

    def __init__(self, keys: str) -> None:
        try:
            self.unreadable = 0
            self._fernet = MultiFernet([Fernet(key.strip()) for key in keys.split() if key.strip()])
        except (ValueError, TypeError):
            raise InputProblem(
                f"UNDERWING_KEY is not a key of 32 url-safe base64 bytes; {KEY_HELP}"
            ) from None

    def seal(self, text: str) -> bytes:
        return self.seal_bytes(text.encode("utf-8", "surrogatepass"))

    def seal_bytes(self, content: bytes) -> bytes:
        return self._fernet.encrypt(content)

    def open(self, sealed: bytes) -> str:
        """Return the text. Raises InputProblem where the key is not the one that sealed it."""
        return self.open_bytes(sealed).decode("utf-8", "surrogatepass")

    def open_bytes(self, sealed: bytes) -> bytes:
        """Return the content. Raises InputProblem where the key is not the one that sealed it."""
        try:
            return self._fernet.decrypt(sealed)
        except InvalidToken:
            self.unreadable += 1
            raise InputProblem(
                "UNDERWING_KEY does not open what is stored; set the key that this database was written with"
            ) from None


def key_in(folder: Path) -> str:
    """Return the key kept in `folder`, making one (readable by its owner alone) where there is none yet."""
    path = folder / "key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(Fernet.generate_key().decode() + "\n")
    return path.read_text(encoding="ascii")


def _encryption_of(dialect: Dialect) -> Encryption:
    # Each engine has a dialect of its own; the store hangs its encryption there, so no global is needed.
    return dialect.encryption  # type: ignore[attr-defined,no-any-return]


class EncryptedText(TypeDecorator[str]):
    """A text column that is sealed on its way in and opened on its way out."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> bytes | None:
        return None if value is None else _encryption_of(dialect).seal(value)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> str | None:
        return None if value is None else _encryption_of(dialect).open(value)


class EncryptedBytes(TypeDecorator[bytes]):
    """The content of a file, sealed."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: bytes | None, dialect: Dialect) -> bytes | None:
        return None if value is None else _encryption_of(dialect).seal_bytes(value)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> bytes | None:
        return None if value is None else _encryption_of(dialect).open_bytes(value)


class EncryptedJson(TypeDecorator[JsonValue]):
    """A JSON value, sealed."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: JsonValue, dialect: Dialect) -> bytes | None:
        return None if value is None else _encryption_of(dialect).seal(json.dumps(value, ensure_ascii=False))

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> JsonValue:
        return None if value is None else cast(JsonValue, json.loads(_encryption_of(dialect).open(value)))
