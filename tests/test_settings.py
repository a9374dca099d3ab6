from __future__ import annotations

from pathlib import Path

import pytest

from bot.errors import InputProblem
from bot.settings import load_settings


@pytest.fixture(autouse=True)
def _clean(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    for name in (
        "TOKEN",
        "TOKEN_FILE",
        "DATABASE",
        "DATA",
        "API_BASE",
        "KEY",
        "KEY_FILE",
        "WEBHOOK_URL",
        "LISTEN",
    ):
        monkeypatch.delenv(f"UNDERWING_{name}", raising=False)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("API_BASE", "http://127.0.0.1:8081/"),
        ("API_BASE", "127.0.0.1/bot"),
        ("LISTEN", "8080"),
        ("LISTEN", "host:99999"),
        ("WEBHOOK_URL", "ftp://x"),
    ],
)
def test_a_malformed_setting_is_one_sentence_that_names_it(
    monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    monkeypatch.setenv(f"UNDERWING_{name}", value)
    with pytest.raises(InputProblem) as caught:
        load_settings()

    assert f"UNDERWING_{name}" in caught.value.problems[0]
    assert value in caught.value.problems[0]


def test_a_webhook_needs_its_secret_and_its_port(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERWING_WEBHOOK_URL", "https://bot.example.org")
    with pytest.raises(InputProblem, match="UNDERWING_WEBHOOK_SECRET"):
        load_settings()


@pytest.mark.parametrize("token", ["", "abc", "123", "12 3:abcdef", "123:ab/cd", "123:a"])
def test_a_malformed_token_is_refused_without_being_shown(
    monkeypatch: pytest.MonkeyPatch, token: str
) -> None:
    monkeypatch.setenv("UNDERWING_TOKEN", token)
    with pytest.raises(InputProblem, match="UNDERWING_TOKEN") as caught:
        load_settings().bot_token()

    assert len(token) < 4 or token not in str(caught.value)


def test_the_environment_goes_before_the_file_and_a_file_before_the_default(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "settings.env"
    path.write_text("UNDERWING_TOKEN=1:from-file\nUNDERWING_LISTEN=127.0.0.1:1\nOTHER=x\n", encoding="utf-8")
    monkeypatch.setenv("UNDERWING_TOKEN", "2:from-environment")
    settings = load_settings(path)

    assert settings.bot_token() == "2:from-environment"
    assert settings.listen == "127.0.0.1:1"


def test_a_token_may_stand_in_a_file_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "token").write_text("1:in-a-file\n", encoding="utf-8")
    monkeypatch.setenv("UNDERWING_TOKEN_FILE", str(tmp_path / "token"))

    assert load_settings().bot_token() == "1:in-a-file"


def test_a_missing_settings_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputProblem, match="--env-file"):
        load_settings(tmp_path / "none.env")


def test_a_key_that_is_none_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERWING_KEY", "short")
    with pytest.raises(InputProblem, match="UNDERWING_KEY"):
        load_settings().encryption()


def test_without_a_key_one_is_made_that_only_its_owner_may_read(tmp_path: Path) -> None:
    settings = load_settings()
    sealed = settings.encryption().seal("words")

    assert load_settings().encryption().open(sealed) == "words"
    assert (settings.data / "key").stat().st_mode & 0o777 == 0o600


def test_files_are_fetched_from_the_host_of_the_api(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERWING_API_BASE", "http://127.0.0.1:8081/bot")
    settings = load_settings()

    assert settings.file_base() == "http://127.0.0.1:8081/file/bot"
    assert settings.api_is_local()
