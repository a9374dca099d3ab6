"""Everything from an SQLite file to PostgreSQL, by one command."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from sqlalchemy import func, select
from typer.testing import CliRunner

from bot.commands.all import app
from bot.errors import InputProblem
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from bot.storage.tables import audit, leases, lookup_keys, metadata
from tests.commands.made_week import make_week

TABLES = [table for table in metadata.sorted_tables if table not in (leases, lookup_keys)]


def rows_of(url: str, key: str) -> dict[str, list[str]]:
    store = Store.open(url, Encryption(key))
    with store.read() as uow:
        found = {t.name: sorted(map(repr, uow.conn.execute(select(t)))) for t in TABLES}
    store.close()
    return found


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_every_row_arrives_and_numbers_go_on(
    database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in make_week(tmp_path).items():
        monkeypatch.setenv(name, value)

    old, key = os.environ["UNDERWING_DATABASE"], os.environ["UNDERWING_KEY"]
    result = CliRunner().invoke(app, ["move", "--to", database])
    assert result.exit_code == 0, result.output
    before, after = rows_of(old, key), rows_of(database, key)
    with pytest.raises(InputProblem, match="holds rows already"):
        raise CliRunner().invoke(app, ["move", "--to", database]).exception or AssertionError

    assert before["messages"] and before["sessions"]
    assert after == before
    monkeypatch.setenv("UNDERWING_DATABASE", database)
    assert CliRunner().invoke(app, ["digest", "--family", "f1"]).exit_code == 0
    store = Store.open(database, Encryption(key))
    with store.read() as uow:  # the digest noted itself under a fresh number
        assert uow.conn.scalar(select(func.count()).select_from(audit)) == len(before["audit"]) + 1
    store.close()
