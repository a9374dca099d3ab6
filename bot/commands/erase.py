"""underwing erase: remove a family and everything kept of it."""

from __future__ import annotations

import asyncio

import typer

from bot.clock import RealClock
from bot.commands.options import EnvFile
from bot.errors import InputProblem
from bot.messenger.serve import opened
from bot.records import erase as erasing
from bot.records import people
from bot.records.store import Store
from bot.settings import Settings, load_settings


def erase(
    family: str = typer.Option(..., "--family", help="The family's id."),
    yes: bool = typer.Option(False, "--yes", help="Do not ask."),
    env_file: EnvFile = None,
) -> None:
    """Erase a family: words, minutes, plan, carers and sealed payloads. The log of who did what stays, without words."""
    settings = load_settings(env_file)
    asyncio.run(_erase(settings, family, yes=yes))
    typer.echo(
        f"Family {family} is erased. Take it out of the caseload file as well, or the next load brings it back. "
        "Backups and files that were exported before still hold it, and so do people's chats."
    )


async def _erase(settings: Settings, family_id: str, *, yes: bool) -> None:
    async with opened(settings) as store:
        async with store.read() as conn:
            if await people.family(conn, family_id) is None:
                raise InputProblem(f"--family {family_id}: there is no such family; nothing was erased")
            rows = await erasing.rows_of_family(conn, family_id)
        if not yes:
            told = ", ".join(f"{count} {table}" for table, count in rows.items())
            typer.confirm(f"Erase family {family_id} for good ({told})?", abort=True)
        async with store.write() as conn:
            await erasing.erase_family(conn, family_id, RealClock().now(), who="server")
        await _empty_journal(store)


async def _empty_journal(store: Store) -> None:
    """SQLite's journal still holds the pages as they were until it is written back and cut."""
    if store.embedded:
        async with store.engine.connect() as conn:
            raw = await conn.execution_options(isolation_level="AUTOCOMMIT", underwing_reads=True)
            await raw.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
