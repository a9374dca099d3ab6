"""The settings file of a new installation, by a few questions."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from bot.commands.all import app
from bot.errors import InputProblem
from bot.settings import load_settings


@pytest.fixture(autouse=True)
def _clean(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("TOKEN", "TOKEN_FILE", "DATABASE", "DATA", "KEY", "KEY_FILE"):
        monkeypatch.delenv(f"UNDERWING_{name}", raising=False)


def run(*arguments: str, typed: str = "") -> Result:
    result = CliRunner().invoke(app, ["init", *arguments], input=typed)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_three_answers_make_a_file_that_only_its_owner_may_read(tmp_path: Path) -> None:
    result = run("own.env", typed="123:abcdef\n\n\n")
    settings = load_settings(tmp_path / "own.env")

    assert (settings.bot_token(), settings.data) == ("123:abcdef", tmp_path / "underwing-data")
    assert (tmp_path / "own.env").stat().st_mode & 0o777 == 0o600
    assert "abcdef" not in result.output


def test_nothing_is_asked_that_was_given(tmp_path: Path) -> None:
    run("own.env", "--token", "1:abc", "--data", "here", "--database", "postgresql://u@h/d")

    assert load_settings(tmp_path / "own.env").database == "postgresql://u@h/d"


def test_a_file_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "own.env").write_text("mine", encoding="utf-8")
    with pytest.raises(InputProblem, match="exists already"):
        run("own.env")


@pytest.mark.parametrize(
    ("token", "database", "named"), [("nonsense", "", "TOKEN"), ("1:abc", "mysql://x/y", "postgresql://")]
)
def test_an_answer_that_cannot_be_used_writes_nothing(
    tmp_path: Path, token: str, database: str, named: str
) -> None:
    with pytest.raises(InputProblem, match=named):
        run("own.env", "--token", token, "--data", "here", "--database", database)

    assert not (tmp_path / "own.env").exists()
