"""The command line as a whole: help, examples, exit status, what is loaded for what."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from bot import commands
from bot.commands.all import COMMANDS, EXIT_STATUS, app
from bot.commands.answer import table
from bot.errors import InputProblem, WorldProblem

# What makes a start slow; none of it is needed to say what a command is for.
HEAVY = {
    "sqlalchemy", "telegram", "pydantic_settings", "apscheduler", "matplotlib", "cryptography", "typst", "uvicorn", "starlette", "babel",
    "httpx", "alembic", "yaml", "PIL", "prometheus_client",
}  # fmt: skip
BY_NAME = {command.run.__name__.replace("_", "-"): command for command in COMMANDS}


def loaded_by(*lines: str) -> set[str]:
    """Return the modules, by the first part of their names, that a fresh interpreter has loaded after these commands."""
    program = (
        "import sys, contextlib, io\n"
        "from bot.commands import main\n"
        f"for line in {list(lines)!r}:\n"
        "    sys.argv = ['underwing', *line.split()]\n"
        "    with contextlib.redirect_stdout(io.StringIO()):\n"
        "        try:\n"
        "            main()\n"
        "        except SystemExit as ended:\n"
        "            assert not ended.code, line\n"
        "print(*sorted({m.partition('.')[0] for m in sys.modules}))\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_help_and_version_load_nothing_heavy() -> None:
    asked = [f"{name} --help" for name in sorted(BY_NAME)]

    assert loaded_by("--version", "--help", *asked) & HEAVY == set()


def test_planning_a_day_loads_no_database_and_no_messenger() -> None:
    assert loaded_by("day --example") & {"sqlalchemy", "telegram", "matplotlib", "apscheduler"} == set()


def test_every_command_shows_its_example_and_its_group() -> None:
    listed = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "200"}).output

    assert EXIT_STATUS in listed
    for name, command in BY_NAME.items():
        shown = CliRunner().invoke(app, [name, "--help"], env={"COLUMNS": "300"}).output
        assert f"underwing {command.example}" in shown
        assert command.group in listed
        assert "--json" in shown or name == "serve", f"{name} has no answer for programs"


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.run.__name__)
def test_every_example_can_be_parsed(command: commands.all.Command) -> None:
    name, *arguments = shlex.split(command.example)
    group = typer.main.get_group(app)
    parsed = group.commands[name].make_context(name, arguments)

    assert parsed.args == []


def run_main(monkeypatch: pytest.MonkeyPatch, *arguments: str) -> int:
    monkeypatch.setattr(sys, "argv", ["underwing", *arguments])
    with pytest.raises(SystemExit) as ended:
        commands.main()
    return int(ended.value.code or 0)


@pytest.mark.parametrize(
    ("raised", "status"), [(InputProblem("one"), 2), (WorldProblem("two"), 1), (KeyError("three"), 1)]
)
def test_exit_status_tells_input_from_world_and_no_traceback_is_shown(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], raised: Exception, status: int
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise raised

    monkeypatch.setattr("bot.commands.work.check.run", fail)

    assert run_main(monkeypatch, "check") == status
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_an_unknown_option_is_a_problem_of_the_input(monkeypatch: pytest.MonkeyPatch) -> None:
    assert run_main(monkeypatch, "day", "--nonsense") == 2
    assert run_main(monkeypatch, "nonsense") == 2


def test_the_version_is_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_main(monkeypatch, "--version") == 0
    assert capsys.readouterr().out.startswith("underwing")


def test_a_shell_can_be_taught_to_complete_and_completes_a_command() -> None:
    script = CliRunner().invoke(app, ["--show-completion", "bash"], prog_name="underwing")
    completed = CliRunner().invoke(
        app, [], prog_name="underwing",
        env={"_UNDERWING_COMPLETE": "complete_bash", "COMP_WORDS": "underwing ex", "COMP_CWORD": "1"},
    )  # fmt: skip

    assert "_UNDERWING_COMPLETE" in script.output
    assert completed.output.split() == ["export"]


def test_a_day_of_the_built_in_plan_needs_no_file(tmp_path: Path) -> None:
    shown = CliRunner().invoke(app, ["day", "--show-example"])
    own = tmp_path / "plan.yaml"
    own.write_text(shown.output, encoding="utf-8")
    built_in = CliRunner().invoke(app, ["day", "--example", "--date", "2026-03-04", "--json"])
    from_file = CliRunner().invoke(app, ["day", "--plan", str(own), "--date", "2026-03-04", "--json"])
    [day] = json.loads(built_in.output)["days"]

    assert from_file.output == built_in.output
    assert {prompt["activity"] for prompt in day["prompts"]} == {
        "tummy_time",
        "football_hold",
        "hand_to_mouth",
    }


def test_a_day_is_today_where_no_date_is_given() -> None:
    result = CliRunner().invoke(app, ["day", "--example", "--json"])

    assert result.exit_code == 0
    assert len(json.loads(result.output)["days"]) == 1


def test_a_table_keeps_columns_apart_and_numbers_to_the_right() -> None:
    assert table(("times", "as written"), [(3, "la la"), (12, "hm")]) == [
        "times  as written",
        "    3  la la",
        "   12  hm",
    ]
