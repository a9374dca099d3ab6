"""The erase command: asks, erases, and says what it cannot reach."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from bot.commands.all import app
from bot.domain.ids import FamilyId
from bot.errors import InputProblem
from bot.messenger.installation import opened
from bot.settings import load_settings
from tests.journeys.conftest import CASELOAD
from tests.journeys.raw_bytes import bytes_of, sealed_pieces


@pytest.fixture
def env_file(tmp_path: Path) -> Path:
    path = tmp_path / "settings.env"
    path.write_text(f"UNDERWING_DATA={tmp_path / 'data'}\n", encoding="utf-8")
    caseload = tmp_path / "caseload.json"
    caseload.write_text(json.dumps(CASELOAD), encoding="utf-8")
    loaded = CliRunner().invoke(app, ["load", str(caseload), "--env-file", str(path)])
    assert loaded.exit_code == 0
    return path


def is_kept(env_file: Path) -> bool:
    async def look() -> bool:
        with opened(load_settings(env_file)) as store, store.read() as uow:
            return uow.families.find(FamilyId("f1")) is not None

    return asyncio.run(look())


def test_a_family_is_erased_after_a_yes_and_no_file_of_the_database_holds_its_values(env_file: Path) -> None:
    with opened(load_settings(env_file)) as store:
        sealed = sealed_pieces(store, FamilyId("f1"), ())
    before = bytes_of([*(env_file.parent / "data").iterdir()])
    assert len(sealed) > 10 and all(piece in before for piece in sealed)
    done = CliRunner().invoke(app, ["erase", "--family", "f1", "--env-file", str(env_file)], input="y\n")

    assert done.exit_code == 0
    assert "Backups" in done.output
    assert not is_kept(env_file)
    held = bytes_of([*(env_file.parent / "data").iterdir()])
    assert {piece for piece in sealed if piece in held} == set()


def test_a_no_erases_nothing(env_file: Path) -> None:
    done = CliRunner().invoke(app, ["erase", "--family", "f1", "--env-file", str(env_file)], input="n\n")

    assert done.exit_code == 1
    assert is_kept(env_file)


def test_yes_asks_nothing(env_file: Path) -> None:
    assert (
        CliRunner().invoke(app, ["erase", "--family", "f1", "--yes", "--env-file", str(env_file)]).exit_code
        == 0
    )
    assert not is_kept(env_file)


def test_an_unknown_family_is_one_clear_sentence(env_file: Path) -> None:
    done = CliRunner().invoke(app, ["erase", "--family", "f9", "--env-file", str(env_file)])

    assert isinstance(done.exception, InputProblem)
    assert done.exception.problems == ("--family f9: there is no such family; nothing was erased",)
