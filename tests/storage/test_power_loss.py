"""The power fails: what was confirmed is there afterwards, and no transaction is there by half.

SQLite appends a commit to its write-ahead log and, with synchronous=FULL, has it on the disk before the commit returns
(https://www.sqlite.org/pragma.html#pragma_synchronous, https://www.sqlite.org/wal.html). So a disk holds after a power
failure all of the log that was confirmed, and of what came after it any part, or bytes that were never written.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import text

from bot.storage.store import Store
from tests.messenger.conftest import NOW

UPDATES = 25
CUTS = 40


def kept_in(folder: Path) -> list[int]:
    """Return the updates that a database holds, having looked through all of it."""
    with sqlite3.connect(folder / "cut.db") as conn:
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [row[0] for row in conn.execute("SELECT update_id FROM inbox ORDER BY update_id")]


def after_power_loss(database: Path, folder: Path, log_bytes: bytes) -> list[int]:
    """Return what is kept where the disk holds the database and these bytes of its log."""
    folder.mkdir()
    shutil.copyfile(database, folder / "cut.db")
    (folder / "cut.db-wal").write_bytes(log_bytes)
    return kept_in(folder)


@pytest.fixture
def sizes(store: Store, database: str) -> list[int]:
    """Keep updates, each in a transaction of its own; return how long the log was after each commit."""
    log_file = Path(database.removeprefix("sqlite:///") + "-wal")
    found = []
    for number in range(1, UPDATES + 1):
        with store.write() as uow:
            uow.inbox.keep([{"update_id": number, "message": {"chat": {"id": 5}, "text": "8 min"}}], NOW)
        found.append(log_file.stat().st_size)
    return found


def test_every_connection_writes_through_to_the_disk(store: Store) -> None:
    with store.write() as uow:
        assert uow.conn.scalar(text("PRAGMA journal_mode")) == "wal"
        assert uow.conn.scalar(text("PRAGMA synchronous")) == 2  # FULL


@pytest.mark.parametrize(
    "torn", [False, True], ids=["the log ends early", "the log ends in bytes never written"]
)
def test_what_was_confirmed_is_there_and_nothing_by_half(
    sizes: list[int], database: str, tmp_path: Path, torn: bool
) -> None:
    path = Path(database.removeprefix("sqlite:///"))
    whole = Path(f"{path}-wal").read_bytes()
    assert all(before < after for before, after in pairwise(sizes)), "no checkpoint in between"
    rng = random.Random(7)
    cuts = sorted({*sizes, *(rng.randrange(len(whole)) for _ in range(CUTS))})
    for cut in cuts:
        rest = rng.randbytes(len(whole) - cut) if torn else b""
        confirmed = [number for number, size in enumerate(sizes, 1) if size <= cut]

        assert after_power_loss(path, tmp_path / str(cut), whole[:cut] + rest) == confirmed
