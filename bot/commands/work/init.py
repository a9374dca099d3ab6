"""Asking the few questions of a new installation, and writing its settings file."""

from __future__ import annotations

import os
from pathlib import Path

import typer
from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from bot.commands.answer import answer
from bot.errors import InputProblem, WorldProblem
from bot.settings import Settings, load_settings


def run(file: Path, token: str | None, data: Path | None, database: str | None, *, as_json: bool) -> None:
    if file.exists():
        raise InputProblem(f"{file}: exists already; name a new file, or change that one")
    if token is None:
        token = typer.prompt("The bot's token (it stays unseen)", hide_input=True, err=True)
    if data is None:
        data = Path(typer.prompt("The folder of database and key", default="underwing-data", err=True))
    if database is None:
        database = typer.prompt(
            "PostgreSQL address, postgresql://…; empty for a file in that folder", default="", err=True
        )
    settings = Settings.model_construct(token=token.strip())
    settings.bot_token()  # says what is wrong with it
    _check_database(database.strip())
    _write(file, settings.bot_token(), data.absolute(), database.strip())
    load_settings(file)
    said = [
        f"Wrote {file}; only you may read it.",
        f"Next: underwing enrol --name … --clinic … --zone … --emergency-line … --nurse-line … --env-file {file}",
        f"Then: underwing check --env-file {file}, and underwing serve --env-file {file}",
    ]
    answer({"file": str(file), "data": str(data.absolute())}, said, as_json=as_json)


def _check_database(address: str) -> None:
    if not address:
        return
    try:
        backend = make_url(address).get_backend_name()
    except ArgumentError:
        backend = ""
    if backend not in ("postgresql", "sqlite"):
        raise InputProblem("The database's address must be like postgresql://user@host/underwing, or empty")


def _write(file: Path, token: str, data: Path, database: str) -> None:
    lines = [
        "# Settings of the bot; deploy/underwing.env.example explains every one.",
        f"UNDERWING_TOKEN={token}",
    ]
    lines.append(f"UNDERWING_DATA={data}")
    if database:
        lines.append(f"UNDERWING_DATABASE={database}")
    try:
        # Made for its owner alone from the first moment: it holds the token.
        with os.fdopen(
            os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8"
        ) as out:
            out.write("\n".join(lines) + "\n")
    except OSError as error:
        raise WorldProblem(f"{file}: cannot be written ({error.strerror}); name another place") from None
