"""A copy of the database that is whole, made while the bot runs."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
from pathlib import Path

from sqlalchemy import make_url

from bot.commands.answer import answer
from bot.errors import InputProblem, WorldProblem
from bot.settings import load_settings


def run(file: Path, env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    if file.exists():
        raise InputProblem(f"{file}: exists already; name a new file, so that no backup is lost")
    url = make_url(settings.database_url())
    if url.get_backend_name() == "sqlite":
        _copy_sqlite(Path(url.database or ""), file)
    else:
        _dump_postgresql(url.set(drivername="postgresql").render_as_string(hide_password=False), file)
    said = f"Backed up to {file}. The key is not in it: keep a copy of the key elsewhere."
    answer({"file": str(file), "bytes": file.stat().st_size}, [said], as_json=as_json)


def _copy_sqlite(source: Path, target: Path) -> None:
    if not source.is_file():
        raise WorldProblem(f"There is no database at {source} yet: run underwing load FILE first")
    unfinished = target.with_name(target.name + ".part")
    try:
        with (
            sqlite3.connect(f"file:{source}?mode=ro", uri=True) as database,
            sqlite3.connect(unfinished) as copy,
        ):
            database.backup(copy)
            damage = copy.execute("PRAGMA integrity_check").fetchone()[0]
        copy.close()
        database.close()
        if damage != "ok":
            raise WorldProblem(
                f"The database at {source} is damaged ({damage}); restore the last good backup"
            )
        unfinished.replace(target)
    except (OSError, sqlite3.Error) as error:
        unfinished.unlink(missing_ok=True)
        raise WorldProblem(
            f"{target}: the backup failed ({error}); check the folder and the space left"
        ) from None


def _dump_postgresql(url: str, target: Path) -> None:
    tool = shutil.which("pg_dump")
    if tool is None:
        raise WorldProblem("pg_dump is not installed; install PostgreSQL's client programs")
    made = subprocess.run(
        [tool, "--format=custom", f"--file={target}", f"--dbname={url}"],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        target.unlink(missing_ok=True)
        raise WorldProblem(f"{target}: the backup failed ({made.stderr.strip().splitlines()[-1]})")
