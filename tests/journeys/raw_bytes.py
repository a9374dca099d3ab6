"""What lies in a database, looked at past all its tables: bytes of files, and every stored value."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import LargeBinary, Select, Table, make_url, select, type_coerce

from bot.domain.ids import ChatId, FamilyId
from bot.storage.sealed_types import EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord
from bot.storage.store import Store
from bot.storage.tables import audit, families, metadata

SEALED = (EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord)
PIECE = 24  # bytes: short enough to lie on one page, long enough to stand nowhere by chance
PIECES = 4  # looked for of each value, from its start


def files_of(store: Store) -> list[Path]:
    """Return SQLite's file and its journal."""
    database = Path(make_url(str(store.engine.url)).database or "")
    return [database.with_name(database.name + end) for end in ("", "-wal")]


def bytes_of(files: Collection[Path]) -> bytes:
    return b"".join(path.read_bytes() for path in files if path.is_file())


def every_value(store: Store) -> bytes:
    """Return every value of every table as the database holds it, one after the other."""
    with store.read() as uow:
        return b"\n".join(
            value if isinstance(value, bytes) else str(value).encode()
            for table in metadata.sorted_tables
            for row in uow.conn.execute(_as_stored(table))
            for value in row
        )


def sealed_pieces(store: Store, family_id: FamilyId, chat_ids: Collection[ChatId]) -> set[bytes]:
    """Return pieces of all that is sealed of a family and its chats.

    Left out is the audit log, which stays, and what looks the same for every family.
    """
    found: set[bytes] = set()
    with store.read() as uow:
        for table in metadata.sorted_tables:
            if table is audit:
                continue
            query = _as_stored(table)
            if table is families:
                query = query.where(families.c.id == family_id)
            elif "family_id" in table.c:
                query = query.where(table.c.family_id == family_id)
            elif "chat_id" in table.c:
                query = query.where(table.c.chat_id.in_(chat_ids))
            else:
                continue
            shared = {each.name for each in table.columns if isinstance(each.type, LookupWord)}
            for row in uow.conn.execute(query).mappings():
                for name, value in row.items():
                    if isinstance(value, bytes) and name not in shared:
                        found |= set(_pieces(value))
    return found


def _as_stored(table: Table) -> Select[Any]:
    return select(
        *(
            type_coerce(each, LargeBinary).label(each.name) if isinstance(each.type, SEALED) else each
            for each in table.columns
        )
    )


def _pieces(value: bytes) -> Iterator[bytes]:
    for start in range(0, min(len(value), PIECE * PIECES), PIECE):
        piece = value[start : start + PIECE]
        if len(piece) == PIECE:
            yield piece
