"""Where the code asks for phrases, found in its syntax trees.

A call asks for a phrase when it calls something that holds Words, or `.plain` or `.has` of it: a name that is
annotated Words or assigned from words_for(...) or Words(...), anything called `words` or `_words`, or words_for(...)
itself. Any other call whose first argument looks like a key of a topic ("card.steps") is found too, without its
fields. A key that is computed from its start is passed over, and so is a call of what comes from the room that reads.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

KEY = re.compile(r"[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*")
FILE_NAME = re.compile(r".*\.(csv|html|ics|js|json|pdf|png|svg|toml|txt|typ|yaml|yml)")
# Reads what people write: its dotted names are word lists of its own, and it says nothing.
READS_ONLY = "bot/parsing"
MAKERS = {"words_for", "Words"}


@dataclass(frozen=True)
class PhraseCall:
    """A place that asks for a phrase.

    key: the whole key, or the constant start of a computed one. whole: False for such a start.
    fields: names given; None where they cannot be told (passed on as **values, or no Words call).
    """

    place: str
    key: str
    whole: bool
    fields: frozenset[str] | None


def phrase_calls(source: str, file: str, topics: set[str]) -> list[PhraseCall]:
    """Return the phrase calls of one module, in no special order."""
    tree = ast.parse(source)
    holders = {"words", "_words"} | set(_names_of_words(tree))
    reading = set(_names_of_reading(tree))
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not node.args:
            continue
        if isinstance(node.func, ast.Name) and node.func.id in reading:
            continue
        asks = _asks_for_a_phrase(node.func, holders)
        for key, whole in _keys(node.args[0]):
            if asks or (key.partition(".")[0] in topics and _looks_like_a_key(key, whole)):
                fields = _fields(node) if asks and whole else None
                found.append(PhraseCall(f"{file}:{node.lineno}", key, whole, fields))
    return found


def _looks_like_a_key(key: str, whole: bool) -> bool:
    return "." in key and not FILE_NAME.fullmatch(key) and bool(KEY.fullmatch(key) or not whole)


def calls_under(root: Path, folders: tuple[str, ...], topics: set[str]) -> list[PhraseCall]:
    """Return the phrase calls of every module of the folders."""
    return [
        call
        for folder in folders
        for path in sorted((root / folder).rglob("*.py"))
        if not path.is_relative_to(root / READS_ONLY)
        for call in phrase_calls(path.read_text(encoding="utf-8"), str(path.relative_to(root)), topics)
    ]


def _names_of_words(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            if re.search(r"\bWords\b", ast.unparse(node.annotation)):
                yield node.arg if isinstance(node, ast.arg) else ast.unparse(node.target).rpartition(".")[2]
        elif isinstance(node, ast.Assign) and _makes_words(node.value):
            yield from (ast.unparse(target).rpartition(".")[2] for target in node.targets)


def _names_of_reading(tree: ast.AST) -> Iterator[str]:
    """Return what is taken over from the room that reads: its lists have dotted names as well."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(READS_ONLY.replace("/", ".")):
            yield from (each.asname or each.name for each in node.names)


def _makes_words(node: ast.expr) -> bool:
    return isinstance(node, ast.Call) and _last_name(node.func) in MAKERS


def _last_name(node: ast.expr) -> str:
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""


def _asks_for_a_phrase(func: ast.expr, holders: set[str]) -> bool:
    if isinstance(func, ast.Attribute) and func.attr in {"plain", "has"}:
        func = func.value
    return _makes_words(func) or _last_name(func) in holders


def _keys(node: ast.expr) -> Iterator[tuple[str, bool]]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value, True
    elif isinstance(node, ast.JoinedStr) and node.values and isinstance(node.values[0], ast.Constant):
        yield str(node.values[0].value), False
    elif isinstance(node, ast.IfExp):
        yield from _keys(node.body)
        yield from _keys(node.orelse)


def _fields(call: ast.Call) -> frozenset[str] | None:
    if isinstance(call.func, ast.Attribute) and call.func.attr == "has":
        return None
    names = [keyword.arg for keyword in call.keywords]
    return None if None in names else frozenset(name for name in names if name is not None)
