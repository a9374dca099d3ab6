"""All that is sealed in the database, whichever table it stands in: to find what no key opens, and to change the key."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sqlalchemy import Column, Connection, LargeBinary, Table, inspect, select, tuple_, type_coerce, update
from sqlalchemy.sql.elements import ColumnElement

from bot.errors import InputProblem
from bot.storage.encryption import Encryption
from bot.storage.lookup import Lookup, find_lookup, new_lookup_key
from bot.storage.sealed_types import EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord
from bot.storage.store import Store
from bot.storage.tables import lookup_keys, metadata

AT_ONCE = 200  # rows read together; a row may hold a clip

SealedColumn = tuple[Table, Column[object]]
Key = tuple[object, ...]


def sealed_columns() -> list[SealedColumn]:
    """Return every column that only the clinic's key opens, with its table."""
    return _columns(EncryptedText, EncryptedJson, EncryptedBytes)


def lookup_columns() -> list[SealedColumn]:
    """Return every column that is sealed under the key of look-ups, with its table."""
    return _columns(LookupChat, LookupWord)


def _columns(*kinds: type) -> list[SealedColumn]:
    return [
        (table, column)
        for table in metadata.sorted_tables
        for column in table.columns
        if isinstance(column.type, kinds)
    ]


def unreadable(conn: Connection, encryption: Encryption) -> dict[str, int]:
    """Return how many values no key opens, by "table.column"; columns without any are left out.

    Of a backup that an earlier release made, what was not sealed then is left out too.
    """
    found: dict[str, int] = {}
    lookup = find_lookup(conn, lookup_keys, encryption)
    if lookup is None and inspect(conn).has_table(lookup_keys.name):
        found["lookup_keys.sealed"] = 1
    for table, column in [*sealed_columns(), *lookup_columns()]:
        if not _is_sealed(conn, table, column):
            continue
        opened = _opener(encryption, lookup, column)
        bad = sum(not _opens(opened, sealed) for _, sealed in _values(conn, table, column))
        if bad:
            found[f"{table.name}.{column.name}"] = bad
    return found


def _opener(
    encryption: Encryption, lookup: Lookup | None, column: Column[object]
) -> Callable[[bytes], object] | None:
    """Return what opens a column's values; None where its key is not to be had."""
    if not isinstance(column.type, LookupChat | LookupWord):
        return encryption.open_bytes
    if lookup is None:
        return None
    return lookup.open_chat if isinstance(column.type, LookupChat) else lookup.open_word


def _is_sealed(conn: Connection, table: Table, column: Column[object]) -> bool:
    looked = inspect(conn)
    return looked.has_table(table.name) and any(
        each["name"] == column.name and isinstance(each["type"], LargeBinary)
        for each in looked.get_columns(table.name)
    )


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
    return n + _reseal_lookups(store, encryption)


def _reseal_lookups(store: Store, encryption: Encryption) -> int:
    """Give look-ups a new key, all in one transaction: nobody is found by half of two keys. Return how many values."""
    n = 0
    with store.write() as uow:
        old = find_lookup(uow.conn, lookup_keys, encryption)
        if old is None:
            raise InputProblem(
                "No key opens the database's own key of chats: put the retired key back as a further line of the key"
            )
        new = Lookup(key := new_lookup_key())
        for table, column in lookup_columns():
            known = type_coerce(column, LargeBinary)
            for sealed in list(uow.conn.scalars(select(known).where(column.is_not(None)).distinct())):
                anew = (
                    new.seal_chat(old.open_chat(sealed))
                    if isinstance(column.type, LookupChat)
                    else new.seal_word(old.open_word(sealed))
                )
                changed = update(table).where(known == sealed)
                done = uow.conn.execute(changed.values({column.name: type_coerce(anew, LargeBinary)}))
                n += int(done.rowcount)
        uow.conn.execute(update(lookup_keys).values(sealed=encryption.seal_bytes(key)))
    store.use_lookup(new)
    return n


def _values(
    conn: Connection, table: Table, column: Column[object], keys: list[Key] | None = None
) -> Iterator[tuple[Key, bytes]]:
    own = _own(table)
    query = select(*own, type_coerce(column, LargeBinary).label("sealed")).where(column.is_not(None))
    if keys is not None:
        query = query.where(tuple_(*own).in_(keys))
    for row in conn.execute(query.execution_options(yield_per=AT_ONCE)):
        yield tuple(row[: len(own)]), row.sealed


def _own(table: Table) -> list[ColumnElement[object]]:
    """Return the columns of a table's key, a sealed one as it is stored."""
    return [
        type_coerce(each, LargeBinary) if isinstance(each.type, LookupChat) else each
        for each in table.primary_key.columns
    ]


def _is(table: Table, key: Key) -> ColumnElement[bool]:
    return tuple_(*_own(table)).in_([key])


def _opens(opened: Callable[[bytes], object] | None, sealed: bytes) -> bool:
    if opened is None:
        return False
    try:
        opened(sealed)
    except InputProblem:
        return False
    return True
