"""A file is short enough to be read in one go, and a function to be seen at once: no exceptions are listed."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
# What decides, and what words it, in the features: neither reads nor writes.
PURE = re.compile(r"(^|_)(rules|views|contents|checks)$")
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


def test_what_decides_or_words_reaches_no_storage_and_no_messenger() -> None:
    pure = [path for path in (ROOT / "bot" / "features").rglob("*.py") if PURE.search(path.stem)]
    trees = {str(path.relative_to(ROOT)): ast.parse(path.read_text(encoding="utf-8")) for path in pure}

    assert len(trees) > 25
    assert {name: found for name, tree in trees.items() if (found := list(_reached(tree)))} == {}


def _reached(tree: ast.Module) -> Iterator[str]:
    """Yield what is imported of storage, messenger and their libraries, and every use of a unit of work."""
    for node in ast.walk(tree):
        named = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        named += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        yield from (each for each in named if each.startswith(("bot.storage", "bot.messenger", "sqlalchemy")))
        if isinstance(node, ast.Attribute) and node.attr == "uow":
            yield f"line {node.lineno}: uow"
