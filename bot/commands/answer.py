"""How a command answers: JSON for programs, lines and tables for people."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any


def answer(value: Any, lines: Iterable[str], *, as_json: bool) -> None:
    """Print one line of JSON, or the lines for people."""
    said = [json.dumps(value, ensure_ascii=False)] if as_json else lines
    sys.stdout.writelines(f"{line}\n" for line in said)


def table(headings: Sequence[str], rows: Sequence[Sequence[object]]) -> list[str]:
    """Return a table as lines: columns as wide as their longest cell, numbers to the right, no frame."""
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(headings, *cells, strict=True)]
    right = [all(isinstance(row[place], int | float) for row in rows) for place in range(len(headings))]
    return [
        "  ".join(
            cell.rjust(width) if to_the_right else cell.ljust(width)
            for cell, width, to_the_right in zip(line, widths, right, strict=True)
        ).rstrip()
        for line in [list(headings), *cells]
    ]
