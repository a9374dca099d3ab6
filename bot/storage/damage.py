"""What is broken in a database: the file itself, references that lead nowhere, values that no key opens."""

from __future__ import annotations

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from bot.storage.encryption import Encryption
from bot.storage.sealed_values import unreadable
from bot.storage.trouble import why_away

MOST_SHOWN = 5
RESTORE = "stop the bot and run underwing restore with the last good backup"


def damage(conn: Connection, encryption: Encryption) -> list[str]:
    """Return what is broken, one sentence each, with what to do; nothing where all is whole."""
    try:
        found = _broken_file(conn) if conn.dialect.name == "sqlite" else []
        values = unreadable(conn, encryption)
    except DBAPIError as error:
        return [f"The database cannot be read through ({why_away(error) or error.orig}): {RESTORE}."]
    if values:
        said = ", ".join(f"{n} in {where}" for where, n in values.items())
        found.append(
            f"Sealed values that no key opens: {said}. Put the retired key back as a further line of the key; "
            f"if it was never changed, {RESTORE}."
        )
    return found


def _broken_file(conn: Connection) -> list[str]:
    told = [str(row[0]) for row in conn.exec_driver_sql("PRAGMA integrity_check")]
    if told != ["ok"]:
        said = "; ".join(told[:MOST_SHOWN])
        return [f"The database's file is damaged ({said}): {RESTORE}."]
    lost: dict[str, int] = {}
    for table, _row, parent, _key in conn.exec_driver_sql("PRAGMA foreign_key_check"):
        lost[f"{table} without its {parent}"] = lost.get(f"{table} without its {parent}", 0) + 1
    said = ", ".join(f"{n} rows of {what}" for what, n in lost.items())
    return [f"References lead nowhere ({said}): {RESTORE}."] if lost else []
