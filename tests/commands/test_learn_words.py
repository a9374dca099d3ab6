"""`underwing learn-words`: kept on the machine, taken in by training."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from bot.commands.learn_words import learn_words
from bot.commands.work.learn_words import FILE
from bot.errors import InputProblem
from tests.training.lines import Line, of_clinic

app = typer.Typer()
app.command()(learn_words)


def test_a_kept_message_is_what_training_reads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERWING_DATA", str(tmp_path))

    for text, was in (("He went all jerky\nfor a bit", "act_now"), ("she was in stitches", "neither")):
        result = CliRunner().invoke(app, [text, "--was", was, "--json"])
        assert json.loads(result.stdout) == {"file": str(tmp_path / FILE), "text": text, "was": was}

    kept = tmp_path / FILE
    assert of_clinic(kept) == [
        Line("He went all jerky\nfor a bit", "act_now"),
        Line("she was in stitches", "neither"),
    ]
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


@pytest.mark.parametrize(("text", "was"), [("any words", "urgent"), ("  ", "neither")])
def test_an_unknown_label_or_no_words_keep_nothing(
    text: str, was: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERWING_DATA", str(tmp_path))

    result = CliRunner().invoke(app, [text, "--was", was])

    assert isinstance(result.exception, InputProblem)
    assert not (tmp_path / FILE).exists()
