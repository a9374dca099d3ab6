"""A new key for all that is sealed.

The new key stands first in the key's file before anything is sealed with it, and the old one is taken out when nothing
needs it any more: whatever breaks off between, both stand there, and the command is simply run again.
"""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from cryptography.fernet import Fernet

from bot.clock import RealClock
from bot.commands.answer import answer
from bot.errors import InputProblem
from bot.messenger.installation import not_served, opened
from bot.settings import load_settings
from bot.storage.encryption import Encryption
from bot.storage.sealed_values import reseal


def run(env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    path = settings.key_path()
    if path is None:
        raise InputProblem(
            "UNDERWING_KEY holds the key itself, which this command cannot change: write it into a file, and name that in "
            "UNDERWING_KEY_FILE"
        )
    with opened(settings) as store:
        not_served(store)
        before = path.read_text(encoding="ascii")
        retired = _kept_beside(path, before, RealClock().now())
        new = Fernet.generate_key().decode()
        _replace(path, f"{new}\n{before}")
        n = reseal(store, Encryption(f"{new}\n{before}"))
        store.empty_journal()
        _replace(path, f"{new}\n")
    said = [
        f"{n} sealed values now need the new key in {path}. Keep a copy of it elsewhere.",
        f"The old key is in {retired}: backups made before today need it. Delete it with the last of them.",
    ]
    answer({"values": n, "key": str(path), "retired": str(retired)}, said, as_json=as_json)


def _kept_beside(path: Path, keys: str, now: datetime) -> Path:
    retired = path.with_name(f"{path.name}.retired-{now:%Y%m%dT%H%M%S%f}")
    _replace(retired, keys)
    return retired


def _replace(path: Path, content: str) -> None:
    """Write a file that its owner alone can read, whole or not at all."""
    unfinished = path.with_name(path.name + ".part")
    descriptor = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    unfinished.replace(path)
