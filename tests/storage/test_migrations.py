from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from bot.errors import InputProblem, WorldProblem
from bot.storage import migrate
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from tests.conftest import BOTH


@BOTH
async def test_the_migrations_make_exactly_the_tables_that_the_code_knows(store: Store) -> None:
    with store.read() as uow:
        assert migrate.differences(uow.conn) == []


@BOTH
async def test_migrating_twice_changes_nothing(store: Store) -> None:
    migrate.upgrade(store)

    with store.read() as uow:
        assert migrate.differences(uow.conn) == []


async def test_a_database_of_a_newer_release_is_left_alone(store: Store, database: str) -> None:
    path = database.removeprefix("sqlite:///")
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()

    with pytest.raises(InputProblem, match="newer release"):
        migrate.upgrade(store)


@pytest.mark.parametrize("url", ["mysql://x/y", "nonsense", "sqlite"])
async def test_an_unusable_database_url_is_one_clear_sentence(url: str, encryption: Encryption) -> None:
    with pytest.raises(InputProblem, match="UNDERWING_DATABASE"):
        Store.open(url, encryption)


async def test_a_database_that_is_away_is_a_problem_of_the_world(
    tmp_path: Path, encryption: Encryption
) -> None:
    with pytest.raises(WorldProblem, match="cannot be opened"):
        Store.open(f"sqlite:///{tmp_path}/missing/folder/x.db", encryption)
