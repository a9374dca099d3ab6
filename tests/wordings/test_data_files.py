"""The data files are laid out for a reader who knows the trade and no program: one wording a line, no long line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

BOT = Path(__file__).parents[2] / "bot"
SIGN_FILES = sorted((BOT / "concerns" / "signs").glob("*.toml"))
WORD_FILES = sorted((BOT / "replies" / "words").glob("*/*.toml"))
LONGEST = 110  # characters
MOST_LINES = 300
WORDINGS = frozenset({"en", "es", "unless", "words"})


def lists_of_wordings(document: object) -> list[list[str]]:
    """Return every list of wordings in a data file, in order."""
    if isinstance(document, list):
        return [found for item in document for found in lists_of_wordings(item)]
    if not isinstance(document, dict):
        return []
    found: list[list[str]] = []
    for name, value in document.items():
        if name in WORDINGS and isinstance(value, list):
            found += [[str(wording)] for wording in value if isinstance(wording, str)]
            found += [each for wording in value for each in lists_of_wordings(wording)]
        elif name == "words" and isinstance(value, str):
            found.append([value])
        elif name != "sets":
            found += lists_of_wordings(value)
    return found


@pytest.mark.parametrize("path", SIGN_FILES + WORD_FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_file_has_one_wording_a_line_and_no_long_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()

    assert [line for line in lines if len(line) > LONGEST] == []
    assert len(lines) <= MOST_LINES
    wordings = sum(map(len, lists_of_wordings(tomllib.loads(text))))
    alone = sum(bool(re.fullmatch(r'  "[^"]*",|words = (\["[^"]*"\]|"[^"]*")', line)) for line in lines)
    assert alone >= wordings


def test_there_are_files_to_look_at() -> None:
    assert len(SIGN_FILES) > 20
    assert len(WORD_FILES) > 20
