"""How rightly replies are read: accuracy by part of the reading, and the confusion of urgencies, by set and language.

The sets are tables of written-down replies with the reading expected of each (replies_*.jsonl); README.md says what each is.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Any

from bot.replies.context import context_from
from bot.replies.reader import read_reply
from bot.replies.reading import Reading
from tests.benchmarks.labelled import SETS, cases

PARTS = ("entries", "skipped", "observations", "request", "request_activity", "concern", "confirm")
URGENCIES = ("act_now", "same_day", "tell_therapist", None)
ENTRY_FIELDS = ("activity", "minutes", "side", "day_offset")


def plainly(reading: Reading) -> dict[str, Any]:
    """Return the parts of a reading that the sets write down."""
    request = reading.request
    return {
        "entries": [{name: getattr(entry, name) for name in ENTRY_FIELDS} for entry in reading.entries],
        "skipped": reading.skipped,
        "observations": sorted({seen.kind for seen in reading.observations}),
        "request": request.kind if request else None,
        "request_activity": request.activity if request and request.kind == "refresher" else None,
        "concern": reading.concern.urgency if reading.concern else None,
        "confirm": reading.confirm,
    }


def expected(case: dict[str, Any]) -> dict[str, Any]:
    wanted = {part: case["expect"].get(part) for part in PARTS}
    wanted["entries"] = [{name: entry.get(name) for name in ENTRY_FIELDS} for entry in wanted["entries"]]
    wanted["observations"] = sorted(set(wanted["observations"]))
    return wanted


def print_accuracy(sets: Sequence[str] = SETS) -> None:
    """Print, by set and language, the share of replies whose parts are read as written down, and the urgencies."""
    for name in sets:
        right: dict[str, Counter[str]] = defaultdict(Counter)
        total: Counter[str] = Counter()
        urgencies: dict[str, Counter[tuple[str | None, str | None]]] = defaultdict(Counter)
        for case in cases(name):
            language = case["context"]["language"]
            got = plainly(read_reply(case["text"], context_from(case["context"])))
            wanted = expected(case)
            total[language] += 1
            right[language].update(part for part in PARTS if got[part] == wanted[part])
            right[language]["all of it"] += got == wanted
            urgencies[language][wanted["concern"], got["concern"]] += 1
        for language in sorted(total):
            _print_set(f"{name}, {language}", total[language], right[language], urgencies[language])


def _print_set(
    title: str, total: int, right: Counter[str], urgencies: Counter[tuple[str | None, str | None]]
) -> None:
    print(f"\n{title}: {total} replies")
    for part in (*PARTS, "all of it"):
        print(f"  {part:17} {100 * right[part] / total:5.1f} %")
    names = [urgency or "none" for urgency in URGENCIES]
    print(f"  {'urgency, read as':17} " + " ".join(f"{name:>14}" for name in names))
    for wanted in URGENCIES:
        row = " ".join(f"{urgencies[wanted, got]:14}" for got in URGENCIES)
        print(f"  {wanted or 'none':17} {row}")
