"""Tells a database that cannot work now from a statement that is wrong: the one is waited for, the other is reported."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

import psycopg
from sqlalchemy.exc import DBAPIError, PendingRollbackError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

# SQLite's primary result codes (sqlite.org/rescode.html) that tell of the file or the disk, and not of a statement.
SQLITE_TROUBLES = {
    5: "it is locked",
    6: "it is locked",
    7: "no memory is left",
    8: "it may not be written",
    10: "the disk cannot be read or written",
    11: "the file is damaged",
    13: "the disk is full",
    14: "the file cannot be opened",
    26: "the file is damaged",
}
# PostgreSQL's classes of error codes (Appendix A of its manual): connection, rollback that a repeat may mend, resources
# (a full disk among them), a server that is told to stop, the system around it; and a server that only reads.
POSTGRESQL_TROUBLES = ("08", "40", "53", "57P", "58", "25006")


class DatabaseAway(Exception):
    """The database cannot do its work now; what was begun is rolled back whole, and may be tried again."""


def why_away(error: BaseException) -> str | None:
    """Return why the database cannot do its work now, or None where an error tells of something else.

    A rollback that fails hides what it was for, so what came before an error is looked at too.
    """
    for each in _chain(error):
        if isinstance(each, DatabaseAway):
            return str(each)
        if isinstance(each, NoConnectionFree):
            return "no connection is free"
        if isinstance(each, sqlite3.Error):
            code = getattr(each, "sqlite_errorcode", 0) & 0xFF
            if code in SQLITE_TROUBLES:
                return f"{SQLITE_TROUBLES[code]} ({each})"
        if isinstance(each, psycopg.Error) and _is_servers_trouble(each):
            return (str(each).splitlines() or [type(each).__name__])[0]
        if isinstance(each, PendingRollbackError) or (
            isinstance(each, DBAPIError) and each.connection_invalidated
        ):
            return "the connection was lost"
    return None


def _is_servers_trouble(error: psycopg.Error) -> bool:
    if error.sqlstate is None:
        # Without a code the server said nothing: the connection failed, or was never made.
        return isinstance(error, (psycopg.OperationalError, psycopg.InterfaceError))
    return error.sqlstate.startswith(POSTGRESQL_TROUBLES)


def _chain(error: BaseException) -> Iterator[BaseException]:
    seen: list[BaseException] = []
    waiting: list[BaseException | None] = [error]
    while waiting:
        each = waiting.pop()
        if each is None or each in seen:
            continue
        seen.append(each)
        yield each
        waiting += [each.__context__, each.__cause__]
