"""What the database must find again without the key: sealed so that the same value always gives the same bytes.

Chats and a few short words are compared, joined and counted by the database. AES-SIV without a nonce (RFC 5297, deterministic
authenticated encryption) is a keyed hash that its key can also turn back: equal values give equal bytes, and who lacks the key
learns only which rows are equal, not what they say. The key is made by chance, one a database, and kept in it sealed with
the clinic's key, so that a look-up never meets half of a table under one key and half under another.
"""

from __future__ import annotations

import os
from functools import lru_cache
from typing import NewType

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESSIV
from sqlalchemy import Connection, Table, inspect, select

from bot.domain.ids import ChatId
from bot.errors import InputProblem
from bot.storage.encryption import Encryption

MOST_REMEMBERED = 256  # chats
LOOKUP_KEY_LENGTH = 64  # bytes: AES-256 twice
LookupKey = NewType("LookupKey", bytes)
_CHAT, _WORD = [b"chat"], [b"word"]  # so that no bytes of one kind are taken for the other


def new_lookup_key() -> LookupKey:
    return LookupKey(os.urandom(LOOKUP_KEY_LENGTH))


class Lookup:
    """Seals chats and words, always to the same bytes, and opens them.

    Opening raises InputProblem for bytes of another key or kind.
    """

    def __init__(self, key: LookupKey) -> None:
        self._cipher = AESSIV(key)
        # One message looks the same chat up half a dozen times.
        self._sealed_chat = lru_cache(MOST_REMEMBERED)(self._seal_chat)
        self._opened_chat = lru_cache(MOST_REMEMBERED)(self._open_chat)

    def seal_chat(self, chat_id: int) -> bytes:
        """Return 24 bytes. chat_id: in 64 bits."""
        return self._sealed_chat(chat_id)

    def open_chat(self, sealed: bytes) -> ChatId:
        return self._opened_chat(sealed)

    def _seal_chat(self, chat_id: int) -> bytes:
        return self._cipher.encrypt(chat_id.to_bytes(8, "big", signed=True), _CHAT)

    def _open_chat(self, sealed: bytes) -> ChatId:
        return ChatId(int.from_bytes(self._opened(sealed, _CHAT), "big", signed=True))

    def seal_word(self, word: str) -> bytes:
        return self._cipher.encrypt(word.encode(), _WORD)

    def open_word(self, sealed: bytes) -> str:
        return self._opened(sealed, _WORD).decode()

    def _opened(self, sealed: bytes, kind: list[bytes]) -> bytes:
        try:
            return self._cipher.decrypt(sealed, kind)
        except (InvalidTag, ValueError):
            raise InputProblem(
                "The key of chats does not open what is stored: the database is damaged; stop the bot and run underwing check"
            ) from None


def find_lookup(conn: Connection, table: Table, encryption: Encryption) -> Lookup | None:
    """Return the look-ups of this database; None before it has a key for them, or where no key opens that.

    table: the one that holds the key.
    """
    if not inspect(conn).has_table(table.name):
        return None
    key = conn.scalar(select(table.c.sealed))
    if key is None:
        return None
    try:
        return Lookup(LookupKey(encryption.open_bytes(key)))
    except InputProblem:
        return None
