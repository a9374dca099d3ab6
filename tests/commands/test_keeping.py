"""Keys, backups and files: what is lost is said, what is damaged is found, and nobody else reads along."""

from __future__ import annotations

import json
import os
import sqlite3
import threading
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from cryptography.fernet import Fernet
from sqlalchemy import select
from typer.testing import CliRunner, Result

from bot.clock import real_seconds
from bot.commands.all import app
from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.errors import InputProblem, WorldProblem
from bot.messenger.installation import opened
from bot.settings import load_settings
from bot.storage.store import Store
from bot.storage.tables import lookup_keys, metadata
from tests.journeys.conftest import CASELOAD, MONDAY


@pytest.fixture(autouse=True)
def open_mask() -> Iterator[None]:
    """Run under the mask that most shells have."""
    before = os.umask(0o022)
    yield
    os.umask(before)


@pytest.fixture
def env_file(tmp_path: Path) -> Path:
    path = tmp_path / "settings.env"
    path.write_text(f"UNDERWING_DATA={tmp_path / 'data'}\n", encoding="utf-8")
    caseload = tmp_path / "caseload.json"
    caseload.write_text(json.dumps(CASELOAD), encoding="utf-8")
    assert command(path, "load", str(caseload)).exit_code == 0
    with opened(load_settings(path)) as store, store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5001), text="marmalade"), MONDAY)
    return path


def command(env_file: Path, *arguments: str) -> Result:
    return CliRunner().invoke(app, [*arguments, "--env-file", str(env_file)])


def data(env_file: Path) -> Path:
    return env_file.parent / "data"


def everything(store: Store) -> list[str]:
    """Return every row of every table, opened, for two databases to be compared."""
    with store.read() as uow:
        return [
            f"{table.name} {tuple(row)!r}"
            for table in metadata.sorted_tables
            if table is not lookup_keys
            for row in uow.conn.execute(select(table).order_by(*table.primary_key.columns))
        ]


def kept(env_file: Path) -> list[str]:
    with opened(load_settings(env_file)) as store:
        return everything(store)


# ---------------------------------------------------------------- keys


def test_a_missing_key_is_said_and_no_new_one_takes_its_place(env_file: Path) -> None:
    key = data(env_file) / "key"
    key.rename(env_file.parent / "key.elsewhere")
    with (
        pytest.raises(InputProblem, match="is missing, and the database was written with it"),
        opened(load_settings(env_file)),
    ):
        pass

    assert not key.exists()


def test_after_a_rotation_the_new_key_alone_opens_everything(env_file: Path) -> None:
    before, old_key = kept(env_file), (data(env_file) / "key").read_text()
    done = command(env_file, "rotate-key")
    assert done.exit_code == 0, done.output
    new_key = (data(env_file) / "key").read_text()

    assert new_key.split() != old_key.split() and len(new_key.split()) == 1
    assert kept(env_file) == before
    retired = next(data(env_file).glob("key.retired-*"))
    assert retired.read_text() == old_key and retired.stat().st_mode & 0o777 == 0o600


def test_a_key_is_not_rotated_under_a_bot_that_serves(env_file: Path) -> None:
    with opened(load_settings(env_file)) as store, store.write() as uow:
        uow.leases.hold("lead", "x:1:2", real_now=real_seconds(), seconds=60)
    key = (data(env_file) / "key").read_text()
    done = command(env_file, "rotate-key")

    assert isinstance(done.exception, InputProblem) and "A bot serves" in str(done.exception)
    assert (data(env_file) / "key").read_text() == key


def test_a_retired_key_that_is_missing_is_found_by_check(env_file: Path) -> None:
    (data(env_file) / "key").write_text(Fernet.generate_key().decode())
    found = json.loads(command(env_file, "check", "--json").stdout)["problems"]

    assert any("Sealed values that no key opens" in each and "outbox.payload" in each for each in found)


# ---------------------------------------------------------------- files


def test_what_is_written_is_for_the_bots_own_user_alone(env_file: Path) -> None:
    assert command(env_file, "backup", str(env_file.parent / "copy.db")).exit_code == 0
    assert command(env_file, "export", "--family", "f1", "--to", str(env_file.parent / "out")).exit_code == 0
    written = [*data(env_file).rglob("*"), env_file.parent / "copy.db", *(env_file.parent / "out").rglob("*")]

    assert len(written) > 4
    assert {
        path.name: oct(path.stat().st_mode & 0o077) for path in written if path.stat().st_mode & 0o077
    } == {}
    assert data(env_file).stat().st_mode & 0o777 == 0o700


def test_a_database_that_others_could_read_is_closed_to_them(env_file: Path) -> None:
    database = data(env_file) / "underwing.db"
    database.chmod(0o644)
    with opened(load_settings(env_file)):
        assert database.stat().st_mode & 0o777 == 0o600


# ---------------------------------------------------------------- damage, backup and restore


def test_check_finds_a_reference_that_leads_nowhere(env_file: Path) -> None:
    with sqlite3.connect(data(env_file) / "underwing.db") as raw:
        raw.execute("DELETE FROM therapists")
    raw.close()
    found = json.loads(command(env_file, "check", "--json").stdout)["problems"]

    assert any("families without its therapists" in each for each in found)


def test_check_finds_a_full_disk(env_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    full = SimpleNamespace(free=4096)
    monkeypatch.setattr("shutil.disk_usage", lambda _folder: full)
    found = json.loads(command(env_file, "check", "--json").stdout)["problems"]

    assert any("0 MB left" in each for each in found)


def test_check_finds_a_damaged_file(env_file: Path) -> None:
    with opened(load_settings(env_file)) as store:
        store.empty_journal()
    database = data(env_file) / "underwing.db"
    content = bytearray(database.read_bytes())
    with sqlite3.connect(database) as raw:
        index = raw.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'ix_audit_family_at'"
        ).fetchone()[0]
        size = raw.execute("PRAGMA page_size").fetchone()[0]
    raw.close()
    content[(index - 1) * size : (index - 1) * size + 64] = b"\xff" * 64
    database.write_bytes(content)
    found = json.loads(command(env_file, "check", "--json").stdout)["problems"]

    assert any("underwing restore" in each for each in found)


def test_a_backup_made_while_writes_go_on_brings_back_a_moment_that_was(env_file: Path) -> None:
    """The drill: back up under writes, lose everything, restore, and find a state that the database really had."""
    states: list[list[str]] = []
    copy, stop = env_file.parent / "copy.db", threading.Event()
    with opened(load_settings(env_file)) as store:

        def write_on() -> None:
            while not stop.is_set():
                with store.write() as uow:
                    uow.outbox.put(
                        OutgoingMessage(chat_id=ChatId(5001), text=f"{len(states)} marmalade"), MONDAY
                    )
                states.append(everything(store))

        states.append(everything(store))
        writer = threading.Thread(target=write_on)
        writer.start()
        try:
            assert command(env_file, "backup", str(copy)).exit_code == 0
        finally:
            stop.set()
            writer.join()
    for path in data(env_file).glob("underwing.db*"):
        path.unlink()
    restored = command(env_file, "restore", str(copy))

    assert restored.exit_code == 0, restored.output
    assert len(states) > 1
    assert kept(env_file) in states


def test_a_damaged_backup_takes_nobodys_place(env_file: Path) -> None:
    before, copy = kept(env_file), env_file.parent / "copy.db"
    assert command(env_file, "backup", str(copy)).exit_code == 0
    with sqlite3.connect(copy) as raw:
        raw.execute("UPDATE outbox SET payload = x'00'")
    raw.close()
    refused = command(env_file, "restore", str(copy))

    assert isinstance(refused.exception, WorldProblem) and "no key opens" in str(refused.exception)
    assert kept(env_file) == before


def test_what_a_restore_replaces_is_kept_beside_it(env_file: Path) -> None:
    copy = env_file.parent / "copy.db"
    assert command(env_file, "backup", str(copy)).exit_code == 0
    before = kept(env_file)
    with opened(load_settings(env_file)) as store, store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5001), text="later"), MONDAY)
    later = kept(env_file)
    assert command(env_file, "restore", str(copy)).exit_code == 0

    assert kept(env_file) == before
    replaced = next(path for path in data(env_file).glob("underwing.db.before-*") if "-wal" not in path.name)
    settings = load_settings(env_file)
    store = Store.open(f"sqlite:///{replaced}", settings.encryption())
    assert everything(store) == later
    store.close()
