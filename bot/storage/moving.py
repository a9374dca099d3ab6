"""Moving everything from one database to another of the same form, sealed by the same key."""

from __future__ import annotations

from sqlalchemy import Connection, Integer, Table, func, insert, select, text

from bot.errors import InputProblem
from bot.storage.store import Store
from bot.storage.tables import leases, lookup_keys, metadata

AT_ONCE = 500  # rows


def move(source: Store, target: Store) -> dict[str, int]:
    """Copy every row into an empty database, in one transaction; return how many, by table.

    Both are of the newest form. Who leads is not copied: it holds of the running processes alone. Nor is the key of look-ups:
    each database has its own, and chats are sealed anew under it.

    Raises:
        InputProblem: the target holds rows already.
    """
    tables = [table for table in metadata.sorted_tables if table not in (leases, lookup_keys)]
    with source.read() as old, target.write() as new:
        held = [t.name for t in tables if new.conn.scalar(select(func.count()).select_from(t))]
        if held:
            raise InputProblem(
                f"The database to move to holds rows already (in {', '.join(held)}); name an empty one"
            )
        return {table.name: _copy(table, old.conn, new.conn) for table in tables}


def _copy(table: Table, old: Connection, new: Connection) -> int:
    count = 0
    for rows in old.execute(select(table)).mappings().partitions(AT_ONCE):
        new.execute(insert(table), [dict(row) for row in rows])
        count += len(rows)
    _go_on_counting(table, old, new)
    return count


def _go_on_counting(table: Table, old: Connection, new: Connection) -> None:
    """Let numbers go on after the last that was given, even to a row that was erased: buttons of old messages hold it."""
    for column in table.primary_key:
        if not (isinstance(column.type, Integer) and column.autoincrement is True):
            continue
        where = {"table": table.name, "column": column.name}
        last = old.scalar(text(_LAST_GIVEN[old.dialect.name]), where)
        if last:
            for change in _GO_ON_AFTER[new.dialect.name]:
                new.execute(text(change), {**where, "last": last})


_LAST_GIVEN = {
    "sqlite": "SELECT seq FROM sqlite_sequence WHERE name = :table",
    "postgresql": "SELECT pg_sequence_last_value(pg_get_serial_sequence(:table, :column)::regclass)",
}
_GO_ON_AFTER = {
    "sqlite": (
        "DELETE FROM sqlite_sequence WHERE name = :table",
        "INSERT INTO sqlite_sequence (name, seq) VALUES (:table, :last)",
    ),
    "postgresql": ("SELECT setval(pg_get_serial_sequence(:table, :column), :last)",),
}
