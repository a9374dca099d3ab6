"""What is refused, in which words and with which exit status."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from bot import commands
from tests.journeys.conftest import CASELOAD


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder of a clinic whose caseload is loaded."""
    folder = tmp_path_factory.mktemp("clinic")
    (folder / "caseload.json").write_text(json.dumps(CASELOAD), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("UNDERWING_DATA", str(folder))
        patched.setattr(sys, "argv", ["underwing", "load", str(folder / "caseload.json")])
        with pytest.raises(SystemExit) as ended:
            commands.main()
    assert not ended.value.code
    return folder


@pytest.fixture(autouse=True)
def _signals_as_before() -> Iterator[None]:
    before = signal.getsignal(signal.SIGTERM)
    yield
    signal.signal(signal.SIGTERM, before)


@pytest.mark.parametrize(
    ("arguments", "settings", "status", "words"),
    [
        (["serve"], {"UNDERWING_TOKEN": ""}, 2, "UNDERWING_TOKEN is not set"),
        (["serve"], {"UNDERWING_TOKEN": "nonsense"}, 2, "is not a bot token"),
        (["serve"], {"UNDERWING_DATABASE": "mysql://x/y"}, 2, "only sqlite and postgresql"),
        (["check"], {"UNDERWING_DATABASE": "postgresql://x@127.0.0.1:1/y"}, 1, "cannot be opened"),
        (
            ["serve", "--clock-speed", "10"],
            {"UNDERWING_API_BASE": "https://far.example.org/bot"},
            2,
            "refused unless",
        ),
        (
            ["serve"],
            {
                "UNDERWING_API_BASE": "https://far.example.org/bot",
                "UNDERWING_BENCHMARK_WITHOUT_LIMITS": "1",
            },
            2,
            "UNDERWING_BENCHMARK_WITHOUT_LIMITS sends faster",
        ),
        (["serve", "--clock-start", "yesterday"], {}, 2, "no ISO 8601 moment"),
        (["load", "missing.yaml"], {}, 2, "cannot be read"),
        (["digest", "--family", "f9"], {}, 2, "is no family"),
        (["digest", "--family", "f1", "--week", "2026-W60"], {}, 2, "is no ISO 8601 week"),
    ],
)
def test_what_is_wrong_is_said_in_one_line_without_a_traceback(
    clinic: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    settings: dict[str, str],
    status: int,
    words: str,
) -> None:
    for name in [name for name in os.environ if name.startswith("UNDERWING_")]:
        monkeypatch.delenv(name)
    usual = {
        "UNDERWING_DATA": str(clinic),
        "UNDERWING_TOKEN": "1000:local-bot",
        "UNDERWING_API_BASE": "http://127.0.0.1:9/bot",
    }
    for name, value in (usual | settings).items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "argv", ["underwing", *arguments])
    monkeypatch.setattr("bot.commands.work.serve.set_up_logs", lambda level: None)
    with pytest.raises(SystemExit) as ended:
        commands.main()
    errors = capsys.readouterr().err

    assert ended.value.code == status
    assert words in errors
    assert len(errors.strip().splitlines()) == 1
