"""The list of threats holds what it says: its tests are there, and it knows every column that stands plain."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import bot.storage
from bot.storage.sealed_values import lookup_columns, sealed_columns
from bot.storage.tables import metadata

ROOT = Path(__file__).parents[2]
PAGE = (Path(bot.storage.__file__).parent / "THREATS.md").read_text(encoding="utf-8")
THREATS = re.findall(r"^\| (T\d+) \| (.+?) \| (.+?) \| (.+?) \| (.+?) \|$", PAGE, re.MULTILINE)
PLAIN = {
    table: set(columns.split())
    for table, columns in re.findall(r"^\| `(\w+)` \| `([\w ]+)` \| .+ \|$", PAGE, re.MULTILINE)
}
KINDS = {
    "spoofing",
    "tampering",
    "repudiation",
    "information disclosure",
    "denial of service",
    "elevation of privilege",
}


def test_every_kind_of_threat_is_thought_of() -> None:
    assert {kind for _, kind, *_ in THREATS} == KINDS
    assert [number for number, *_ in THREATS] == [f"T{n}" for n in range(1, len(THREATS) + 1)]


@pytest.mark.parametrize("threat", THREATS, ids=[number for number, *_ in THREATS])
def test_every_test_that_the_list_names_is_there(threat: tuple[str, ...]) -> None:
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", threat[-1])

    assert named
    for file, function in named:
        tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
        assert function in {
            each.name for each in tree.body if isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef)
        }, f"{file} has no {function}"


def test_every_plain_column_is_listed_with_its_reason() -> None:
    sealed = {(table.name, column.name) for table, column in [*sealed_columns(), *lookup_columns()]}
    stand_plain = {
        table.name: {each.name for each in table.columns if (table.name, each.name) not in sealed}
        for table in metadata.sorted_tables
    }

    assert stand_plain == PLAIN
