"""`underwing read` as people run it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from bot.commands.read import read

CONTEXT = {
    "now": "2026-03-04T10:20:00-06:00",
    "language": "en",
    "affected_side": "right",
    "age_weeks": 14,
    "plan": ["tummy_time", "football_hold"],
    "prompt": {"activity": "tummy_time", "side": None, "minutes": 10},
}
app = typer.Typer()
app.command()(read)


@pytest.fixture
def context_file(tmp_path: Path) -> str:
    path = tmp_path / "context.json"
    path.write_text(json.dumps(CONTEXT), encoding="utf-8")
    return str(path)


def test_one_reply_is_answered_in_json(context_file: str) -> None:
    result = CliRunner().invoke(
        app, ["tummy 12 min, turned to the right twice", "--context", context_file, "--json"]
    )

    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    assert answer["entries"] == [
        {"activity": "tummy_time", "minutes": 12, "side": None, "day_offset": 0, "at": None}
    ]
    assert answer["observations"] == [{"kind": "head_turn", "side": "right"}]


def test_without_json_the_answer_is_in_words(context_file: str) -> None:
    result = CliRunner().invoke(app, ["yesterday football 5 left", "--context", context_file])

    counted, learned = result.stdout.splitlines()
    assert counted == "counted: football_hold, 5 min, left, 1 day(s) ago"
    assert learned.startswith("learned: ")


def test_a_concern_is_told_with_its_signs_and_their_words() -> None:
    result = CliRunner().invoke(app, ["tummy 8 min. then her lips went blue"])

    assert result.exit_code == 0
    assert "concern: act_now" in result.stdout
    assert "from “her lips went blue”" in result.stdout
    assert "% like messages of trouble" in result.stdout


@pytest.mark.parametrize(("text", "activity"), [("10 min boca abajo", "tummy_time"), ("bath 7 min", "bath")])
def test_without_a_context_every_activity_is_known_and_no_reminder_is_open(text: str, activity: str) -> None:
    answer = json.loads(CliRunner().invoke(app, [text, "--json"]).stdout)

    assert [entry["activity"] for entry in answer["entries"]] == [activity]
    assert answer["confirm"] is False


def test_a_line_without_a_context_is_read_too() -> None:
    result = CliRunner().invoke(app, ["--lines", "--json"], input=json.dumps({"text": "done"}) + "\n")

    assert json.loads(result.stdout)["confirm"] is True  # no reminder that "done" could answer


def test_lines_are_answered_in_order_and_a_bad_one_does_not_stop_the_rest() -> None:
    good = json.dumps({"text": "done", "context": CONTEXT})
    wrong = json.dumps({"text": "done", "context": {**CONTEXT, "affected_side": "upper"}})

    result = CliRunner().invoke(app, ["--lines", "--json"], input=f"{good}\nnot json\n{wrong}\n\n{good}\n")

    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert [next(iter(a)) for a in answers] == ["entries", "error", "error", "error", "entries"]
    assert "context.affected_side" in answers[2]["error"]


def test_a_line_is_answered_before_the_next_is_written() -> None:
    command = [sys.executable, "-c", "from bot.commands import main; main()", "read", "--lines", "--json"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdin is not None
        assert running.stdout is not None
        for minutes in (4, 6):
            line = json.dumps({"text": f"{minutes} min", "context": CONTEXT})
            running.stdin.write(line + "\n")
            running.stdin.flush()

            assert json.loads(running.stdout.readline())["entries"][0]["minutes"] == minutes
        running.stdin.close()

    assert running.returncode == 0


def test_a_last_line_without_an_end_is_answered_too() -> None:
    line = json.dumps({"text": "3 min", "context": CONTEXT})

    result = CliRunner().invoke(app, ["--lines", "--json"], input=f"{line}\n{line}")

    assert len(result.stdout.splitlines()) == 2


def test_no_reply_at_all_ends_with_one_sentence_and_status_2() -> None:
    result = CliRunner().invoke(app, [])

    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1


def test_a_context_file_that_is_no_json_is_named_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "context.json"
    path.write_text("{", encoding="utf-8")

    result = CliRunner().invoke(app, ["done", "--context", str(path)])

    assert result.exit_code == 2
    assert "line 1" in result.stderr
