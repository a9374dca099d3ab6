"""Replies by phenomenon: tables/*.txt hold `reply => reading`, under lines `@language,prompt`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.replies.said import said

TABLES = sorted(Path(__file__).with_name("tables").glob("*.txt"))


def rows(table: Path) -> Iterator[tuple[str, str, str, str]]:
    language = prompt = ""
    for line in table.read_text(encoding="utf-8").splitlines():
        if line.startswith("@"):
            language, prompt = line[1:].split(",")
        elif " =>" in line:
            text, _, reading = line.rpartition("=>")
            yield text.strip().replace("\\n", "\n"), language, prompt, reading.strip()


CASES = [
    pytest.param(*row, id=f"{table.stem}: {row[0]} [{row[2] or 'no prompt'}]")
    for table in TABLES
    for row in rows(table)
]


@pytest.mark.parametrize(("text", "language", "prompt", "reading"), CASES)
def test_a_reply_is_read_as_its_table_says(text: str, language: str, prompt: str, reading: str) -> None:
    assert said(text, prompt, language) == reading


def test_the_tables_hold_hundreds_of_replies() -> None:
    assert len(CASES) > 500
