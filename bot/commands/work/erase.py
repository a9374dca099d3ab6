"""Removing a family and everything kept of it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import typer

from bot.clock import RealClock
from bot.commands.answer import answer
from bot.domain.actor import SERVER
from bot.domain.ids import FamilyId
from bot.errors import InputProblem
from bot.messenger.installation import opened
from bot.settings import Settings, load_settings
from bot.storage import erasure as erasing


def run(family: FamilyId, env_file: Path | None, *, yes: bool, as_json: bool) -> None:
    settings = load_settings(env_file)
    rows = _erase(settings, family, yes=yes)
    said = (
        f"Family {family} is erased. Take it out of the caseload file as well, or the next load brings it back. "
        "Backups and files that were exported before still hold it, and so do people's chats."
    )
    answer({"family": family, "erased": dict(rows)}, [said], as_json=as_json)


def _erase(settings: Settings, family_id: FamilyId, *, yes: bool) -> Mapping[str, int]:
    with opened(settings) as store:
        with store.read() as uow:
            if uow.families.find(family_id) is None:
                raise InputProblem(f"--family {family_id}: there is no such family; nothing was erased")
            rows = erasing.rows_of_family(uow, family_id)
        if not yes:
            told = ", ".join(f"{count} {table}" for table, count in rows.items())
            typer.confirm(f"Erase family {family_id} for good ({told})?", abort=True)
        with store.write() as uow:
            erasing.erase_family(uow, family_id, RealClock().now(), who=SERVER)
        store.rewrite()
        return rows
