"""Bringing a backup back, once it is found whole and the key opens it."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from sqlalchemy import make_url
from sqlalchemy.exc import DBAPIError

from bot.clock import RealClock
from bot.commands.answer import answer
from bot.errors import InputProblem, WorldProblem
from bot.messenger.installation import not_served, opened
from bot.settings import Settings, load_settings
from bot.storage import migrate
from bot.storage.damage import damage
from bot.storage.store import Store

BESIDE = ("", "-wal", "-shm")  # SQLite's files of one database


def run(file: Path, env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    if not file.is_file():
        raise InputProblem(f"{file}: is not a file; name a backup made with underwing backup")
    url = make_url(settings.database_url())
    if url.get_backend_name() == "sqlite":
        kept = _put_in_place(settings, file, Path(url.database or ""), RealClock().now())
        said = f"Restored {file}." + (f" What was there before is in {kept}." if kept else "")
    else:
        with opened(settings) as store:
            not_served(store)
        _restore_postgresql(url.set(drivername="postgresql").render_as_string(hide_password=False), file)
        kept, said = None, f"Restored {file}."
    with opened(settings) as store:
        _is_whole(store, "the restored database")
    answer({"file": str(file), "before": kept and str(kept)}, [said], as_json=as_json)


def _is_whole(store: Store, name: str) -> None:
    with store.read() as uow:
        found = damage(uow.conn, store.encryption)
    if found:
        raise WorldProblem([f"{name}: {problem}" for problem in found])


def _put_in_place(settings: Settings, file: Path, target: Path, now: datetime) -> Path | None:
    """Copy a backup beside the database, look it through there, and only then let it take the place."""
    unfinished = target.with_name(target.name + ".restoring")
    for end in BESIDE:
        unfinished.with_name(unfinished.name + end).unlink(missing_ok=True)
    shutil.copyfile(file, unfinished)
    store = Store.open(f"sqlite:///{unfinished}", settings.encryption())
    try:
        _is_whole(store, str(file))
        store.empty_journal()
    finally:
        store.close()
    if not target.exists():
        unfinished.replace(target)
        return None
    _refuse_while_served(settings)
    kept = target.with_name(f"{target.name}.before-{now:%Y%m%dT%H%M%S%f}")
    for end in BESIDE:
        part = target.with_name(target.name + end)
        if part.exists():
            part.replace(kept.with_name(kept.name + end))
    unfinished.replace(target)
    return kept


def _refuse_while_served(settings: Settings) -> None:
    """Raises InputProblem while a bot serves; a database too damaged to tell is served by none."""
    with suppress(WorldProblem, DBAPIError):
        store = Store.open(settings.database_url(), settings.encryption())
        try:
            not_served(store)
            store.empty_journal()
        finally:
            store.close()


def _restore_postgresql(url: str, file: Path) -> None:
    """Put a dump in the place of all that is there, in one transaction.

    A dump of an earlier release knows nothing of later tables, so that it cannot take them away itself.
    """
    psql, pg_restore = _client("psql"), _client("pg_restore")
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "restore.sql"
        # Whole before anything is changed: a dump that is cut short ends here.
        _run(file, [pg_restore, "--schema=public", "--no-owner", f"--file={script}", str(file)])
        once = [psql, "--single-transaction", "--set=ON_ERROR_STOP=1", "--quiet", f"--dbname={url}"]
        _run(file, [*once, *(f"--command={each}" for each in migrate.TAKE_ALL_AWAY), f"--file={script}"])


def _client(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        raise WorldProblem(f"{name} is not installed; install PostgreSQL's client programs")
    return found


def _run(file: Path, command: list[str]) -> None:
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        said = (made.stderr.strip().splitlines() or ["no reason given"])[-1]
        raise WorldProblem(f"{file}: was not restored, and nothing was changed ({said})")
