"""The drill on PostgreSQL: a dump brings back its rows, of an earlier release too; what is damaged changes nothing."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from alembic import command as migrations
from cryptography.fernet import Fernet
from sqlalchemy import make_url, text

from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.errors import WorldProblem
from bot.messenger.installation import opened
from bot.settings import load_settings
from bot.storage import migrate
from bot.storage.store import Store
from tests.commands.test_keeping import command, kept
from tests.journeys.conftest import CASELOAD, MONDAY
from tests.storage.test_upgrade_of_full_database import FIRST, ROWS, _fill

ON_POSTGRESQL = pytest.mark.parametrize("database", ["postgresql"], indirect=True)


@pytest.fixture
def env_file(database: str, tmp_path: Path) -> Path:
    """Settings of a clinic with a family, in a database that holds every table of this release."""
    path, caseload = tmp_path / "settings.env", tmp_path / "caseload.json"
    key = Fernet.generate_key().decode()
    path.write_text(f"UNDERWING_DATA={tmp_path}\nUNDERWING_DATABASE={database}\nUNDERWING_KEY={key}\n")
    caseload.write_text(json.dumps(CASELOAD), encoding="utf-8")
    assert command(path, "load", str(caseload)).exit_code == 0
    return path


@ON_POSTGRESQL
def test_a_backup_brings_its_rows_back_and_takes_later_ones_away(env_file: Path, tmp_path: Path) -> None:
    dump = tmp_path / "copy.dump"
    before = kept(env_file)
    assert command(env_file, "backup", str(dump)).exit_code == 0
    with opened(load_settings(env_file)) as store, store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5001), text="later"), MONDAY)
    assert kept(env_file) != before
    done = command(env_file, "restore", str(dump))

    assert done.exit_code == 0, done.output
    assert kept(env_file) == before


@ON_POSTGRESQL
def test_a_dump_of_the_first_release_is_restored_and_brought_to_this_ones_form(
    env_file: Path, tmp_path: Path, database: str
) -> None:
    dump = tmp_path / "first.dump"
    settings = load_settings(env_file)
    older = Store.open(database, settings.encryption())
    with older.write() as uow:
        for each in migrate.TAKE_ALL_AWAY:
            uow.conn.execute(text(each))
        migrations.upgrade(migrate.config_for(uow.conn), FIRST)
        _fill(uow.conn, settings.encryption())
    dump_as_it_is(database, dump)
    with older.write() as uow:
        uow.conn.execute(text("DELETE FROM audit"))
    migrate.upgrade(older)
    older.close()
    done = command(env_file, "restore", str(dump))

    assert done.exit_code == 0, (done.output, done.exception)
    with opened(settings) as store, store.read() as uow:
        assert migrate.differences(uow.conn) == []
        assert uow.conn.scalar(text("SELECT count(*) FROM audit")) == ROWS
        assert uow.conn.scalar(text("SELECT count(*) FROM pg_trigger WHERE tgname = 'wake_up'")) == 2


def dump_as_it_is(database: str, dump: Path) -> None:
    """Dump as the earlier release did; this one's command would bring the tables to its own form first."""
    url = make_url(database).set(drivername="postgresql").render_as_string(hide_password=False)
    subprocess.run(["pg_dump", "--format=custom", f"--file={dump}", f"--dbname={url}"], check=True)


@ON_POSTGRESQL
def test_a_dump_that_is_cut_short_changes_nothing(env_file: Path, tmp_path: Path) -> None:
    dump = tmp_path / "copy.dump"
    before = kept(env_file)
    assert command(env_file, "backup", str(dump)).exit_code == 0
    dump.write_bytes(dump.read_bytes()[: dump.stat().st_size * 2 // 3])
    refused = command(env_file, "restore", str(dump))

    assert isinstance(refused.exception, WorldProblem) and "nothing was changed" in str(refused.exception)
    assert kept(env_file) == before
