"""A file is short enough to be read in one go, and a function to be seen at once: no exceptions are listed."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST_LINES = 300
MOST_LINES_OF_A_FUNCTION = 40


def sources() -> Iterator[Path]:
    """Every module of the program; migrations are history, and stay as they were run."""
    for package in ("bot", "scheduling", "demo"):
        yield from (path for path in (ROOT / package).rglob("*.py") if "migrations" not in path.parts)


def test_no_file_is_too_long() -> None:
    lines = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in sources()}

    assert len(lines) > 300
    assert {str(path.relative_to(ROOT)): n for path, n in lines.items() if n > MOST_LINES} == {}


def test_no_function_is_too_long() -> None:
    functions = [
        (f"{path.relative_to(ROOT)}: {node.name}", (node.end_lineno or node.lineno) - node.lineno + 1)
        for path in sources()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]

    assert len(functions) > 2000
    assert [(name, n) for name, n in functions if n > MOST_LINES_OF_A_FUNCTION] == []
