"""The labelled replies of this folder, by set. What each set is, and who may learn from it, stands in README.md beside."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
LEARNT_HANDS = "abcdefghikl"
WRITERS_LEARNT_FROM = 12  # of the up to sixteen of each hand; the others tune
HANDS_LEARN, HANDS_TUNE, HELD_OUT = "hands_learn", "hands_tune", "hands_held_out"
SETS = ("tune", "report", "fresh", HANDS_LEARN, HANDS_TUNE)
Case = dict[str, Any]


def cases(name: str) -> Iterator[Case]:
    """Yield the cases of a set: {"text", "context", "expect"}, of the hands with a "writer" too."""
    if name in (HANDS_LEARN, HANDS_TUNE):
        for hand in LEARNT_HANDS:
            for case in _lines(f"replies_hands_{hand}.jsonl"):
                if (_number(case["writer"]) <= WRITERS_LEARNT_FROM) == (name == HANDS_LEARN):
                    yield case
        return
    yield from _lines("replies_hands_m.jsonl" if name == HELD_OUT else f"replies*_{name}.jsonl")


def _lines(pattern: str) -> Iterator[Case]:
    for path in sorted(HERE.glob(pattern)):
        for line in path.read_text(encoding="utf-8").splitlines():
            yield json.loads(line)


def _number(writer: str) -> int:
    return int(writer[1:])
