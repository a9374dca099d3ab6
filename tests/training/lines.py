"""The labelled lines that the learned reader of concerns is trained from, in a fixed order; none of a held-out set."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tests.benchmarks.labelled import HANDS_LEARN, HANDS_TUNE, cases
from tests.concerns.cases import replies
from tests.replies.test_reader_tables import TABLES, rows

ALARMS = ("act_now", "same_day")
JOINTS = (". ", ", ", " and ", "\n", ". y ")
STRIDE = 7919  # a prime, so that neighbours are not spliced with neighbours


@dataclass(frozen=True, slots=True)
class Line:
    """A message and its urgency: act_now, same_day or "neither". writer: of the hands alone."""

    text: str
    label: str
    writer: str | None = None
    age_weeks: int = 14
    affected_side: str = "right"
    language: str = ""
    of_rules: bool = (
        False  # written beside the rules, so that what they read of it says nothing of other lines
    )


def of_hands(name: str) -> list[Line]:
    """Return the lines of one set of hands."""
    return [
        Line(
            case["text"],
            _label(case["expect"]["concern"]),
            case["writer"],
            case["context"]["age_weeks"],
            case["context"]["affected_side"],
            case["context"]["language"],
        )
        for case in cases(name)
    ]


def of_rules() -> list[Line]:
    """Return the lines that were written beside the rules: the readers' tables, and the first labelled sets."""
    lines = [
        Line(case.text, _label(name), None, case.age_weeks, case.affected_side, of_rules=True)
        for name in ("act_now", "same_day", "tell_therapist", "nothing")
        for case in replies(name)
    ]
    lines += [
        Line(case["text"], _label(case["expect"]["concern"]), of_rules=True)
        for name in ("tune", "report")
        for case in cases(name)
    ]
    for table in TABLES:
        for text, _, _, reading in rows(table):
            raised = reading.rpartition("concern ")[2].split(" ")[0] if "concern " in reading else None
            lines.append(Line(text, _label(raised), of_rules=True))
    return lines


def spliced(lines: Sequence[Line]) -> list[Line]:
    """Return lines of trouble, and as many calm ones, each behind or before a calm one: carers report and tell trouble in one message."""
    calm = [line for line in lines if line.label not in ALARMS]
    told = [line for line in lines if line.label in ALARMS]
    made = []
    for place, line in enumerate([*told, *calm[: len(told)]]):
        other = calm[place * STRIDE % len(calm)]
        pair = (other.text, line.text) if place % 2 else (line.text, other.text)
        made.append(replace(line, text=JOINTS[place % len(JOINTS)].join(pair)))
    return made


def every_line() -> list[Line]:
    return of_hands(HANDS_LEARN) + of_hands(HANDS_TUNE) + beside_hands()


def beside_hands() -> list[Line]:
    """Return the lines written beside the rules, alone and spliced."""
    lines = of_rules()
    return lines + spliced(lines)


def of_clinic(path: Path) -> list[Line]:
    """Return the lines that a clinic kept with `underwing learn-words`."""
    kept = (json.loads(line) for line in path.read_text(encoding="utf-8").splitlines())
    return [Line(line["text"], _label(line["label"])) for line in kept]


def hash_of(lines: list[Line]) -> str:
    """Return the SHA-256 of the texts and labels in their order."""
    pairs = [[line.text, line.label, line.writer] for line in lines]
    return hashlib.sha256(json.dumps(pairs).encode()).hexdigest()


def _label(urgency: str | None) -> str:
    return urgency if urgency in ALARMS else "neither"
