"""All that is sealed in the database, whichever table it stands in: to find what no key opens, and to change the key."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Column, Connection, LargeBinary, Table, select, tuple_, type_coerce, update
from sqlalchemy.sql.elements import ColumnElement

from bot.errors import InputProblem
from bot.storage.encryption import EncryptedBytes, EncryptedJson, EncryptedText, Encryption
from bot.storage.store import Store
from bot.storage.tables import metadata

AT_ONCE = 200  # rows read together; a row may hold a clip


def sealed_columns() -> list[tuple[Table, Column[object]]]:
    """Return every column whose values are sealed, with its table."""
    kinds = (EncryptedText, EncryptedJson, EncryptedBytes)
    return [
        (table, column)
        for table in metadata.sorted_tables
        for column in table.columns
        if isinstance(column.type, kinds)
    ]


def unreadable(conn: Connection, encryption: Encryption) -> dict[str, int]:
    """Return how many values no key opens, by "table.column"; columns without any are left out."""
    found: dict[str, int] = {}
    for table, column in sealed_columns():
        bad = sum(not _opens(encryption, sealed) for _, sealed in _values(conn, table, column))
        if bad:
            found[f"{table.name}.{column.name}"] = bad
    return found


def reseal(store: Store, encryption: Encryption) -> int:
    """Seal every value with the first key, in short transactions; return how many there were.

    Doing it again does no harm, so what broke off is simply begun anew. Raises InputProblem for a value that no key opens.
    """
    n = 0
    for table, column in sealed_columns():
        with store.read() as uow:
            keys = [key for key, _ in _values(uow.conn, table, column)]
        for first in range(0, len(keys), AT_ONCE):
            with store.write() as uow:
                rows = _values(uow.conn, table, column, keys[first : first + AT_ONCE])
                for key, sealed in list(rows):
                    sealed_anew = encryption.seal_bytes(encryption.open_bytes(sealed))
                    changed = update(table).where(_is(table, key))
                    uow.conn.execute(changed.values({column.name: type_coerce(sealed_anew, LargeBinary)}))
                    n += 1
    return n


Key = tuple[object, ...]


def _values(
    conn: Connection, table: Table, column: Column[object], keys: list[Key] | None = None
) -> Iterator[tuple[Key, bytes]]:
    own = list(table.primary_key.columns)
    query = select(*own, type_coerce(column, LargeBinary).label("sealed")).where(column.is_not(None))
    if keys is not None:
        query = query.where(tuple_(*own).in_(keys))
    for row in conn.execute(query.execution_options(yield_per=AT_ONCE)):
        yield tuple(row[: len(own)]), row.sealed


def _is(table: Table, key: Key) -> ColumnElement[bool]:
    return tuple_(*table.primary_key.columns).in_([key])


def _opens(encryption: Encryption, sealed: bytes) -> bool:
    try:
        encryption.open_bytes(sealed)
    except InputProblem:
        return False
    return True
