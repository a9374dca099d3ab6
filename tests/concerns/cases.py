"""The replies of this folder, by the urgency that they must be read with."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from bot.concerns.finding import Findings
from bot.concerns.reader import find_concerns

FOLDER = Path(__file__).parent / "replies"
_SETTING = re.compile(r"\[(age|side) (\w+)\] ")


@dataclass(frozen=True, slots=True)
class Case:
    text: str
    age_weeks: int
    affected_side: str

    def read(self, text: str | None = None) -> Findings:
        """Read the case's text, or another in its place."""
        return find(self.text if text is None else text, self.age_weeks, self.affected_side)


def find(text: str, age_weeks: int = 14, affected_side: str = "right") -> Findings:
    return find_concerns(text, age_weeks=age_weeks, affected_side=affected_side)


def urgency(text: str, age_weeks: int = 14, affected_side: str = "right") -> str | None:
    concern = find(text, age_weeks, affected_side).concern
    return concern.urgency if concern else None


def replies(name: str) -> Iterator[Case]:
    """Yield the cases of one file: a reply a line, "[age 7]" or "[side left]" before it."""
    for line in (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        settings = {"age": "14", "side": "right"}
        while found := _SETTING.match(line):
            settings[found[1]] = found[2]
            line = line[found.end() :]
        yield Case(line, int(settings["age"]), settings["side"])
