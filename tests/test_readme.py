"""The README's two commands are what CI runs, and what it names is there."""

from __future__ import annotations

import re
from pathlib import Path

from bot.commands.all import app

REPOSITORY = Path(__file__).parents[1]
README = (REPOSITORY / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```sh\n(.*?)^```", README, re.DOTALL | re.MULTILINE)


def test_there_are_two_commands_one_line_each() -> None:
    assert len(BLOCKS) == 2
    assert all(len(block.strip().splitlines()) == 1 for block in BLOCKS)
    assert "underwing demo" in BLOCKS[0]
    assert "pytest" in BLOCKS[1]


def test_ci_runs_the_readmes_test_command_and_no_copy_of_it() -> None:
    script = (REPOSITORY / ".ci" / "run").read_text(encoding="utf-8")

    assert "block==2' README.md" in script
    assert "pytest -q" not in script


def test_every_command_that_the_readme_names_exists() -> None:
    known = {
        command.name or command.callback.__name__ for command in app.registered_commands if command.callback
    }
    named = set(re.findall(r"`underwing ([a-z]+)", README))

    assert named
    assert named <= known


def test_every_picture_and_file_that_the_readme_names_exists() -> None:
    named = re.findall(r"\]\(([\w/.-]+)\)", README) + re.findall(r"`((?:deploy|demo)/[\w./-]+)`", README)

    assert named
    assert [name for name in named if not (REPOSITORY / name).exists()] == []
