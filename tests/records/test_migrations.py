from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from bot.errors import InputProblem, WorldProblem
from bot.records import migrate
from bot.records.store import Store
from bot.records.vault import Vault
from tests.conftest import BOTH


@BOTH
async def test_the_migrations_make_exactly_the_tables_that_the_code_knows(store: Store) -> None:
    async with store.read() as conn:
        assert await conn.run_sync(migrate.differences) == []


@BOTH
async def test_migrating_twice_changes_nothing(store: Store) -> None:
    await migrate.upgrade(store)

    async with store.read() as conn:
        assert await conn.run_sync(migrate.differences) == []


async def test_a_database_of_a_newer_release_is_left_alone(store: Store, database: str) -> None:
    path = database.removeprefix("sqlite:///")
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()

    with pytest.raises(InputProblem, match="newer release"):
        await migrate.upgrade(store)


@pytest.mark.parametrize("url", ["mysql://x/y", "nonsense", "sqlite"])
async def test_an_unusable_database_url_is_one_clear_sentence(url: str, vault: Vault) -> None:
    with pytest.raises(InputProblem, match="UNDERWING_DATABASE"):
        await Store.open(url, vault)


async def test_a_database_that_is_away_is_a_problem_of_the_world(tmp_path: Path, vault: Vault) -> None:
    with pytest.raises(WorldProblem, match="cannot be opened"):
        await Store.open(f"sqlite:///{tmp_path}/missing/folder/x.db", vault)
