"""How well and how fast signs are read.

Recall of each urgency and false alarms over the labelled replies (those learnt from, and the fresh ones, which nobody who
writes rules may read); then the time of short replies, of 200 characters at worst, and the growth with length.

Run from the repository root: python -m tests.benchmarks.concerns
"""

from __future__ import annotations

import json
import statistics
import time
from collections import Counter
from itertools import islice
from pathlib import Path

from bot.concerns.finding import URGENCIES
from tests.concerns.cases import find, replies

ROUNDS = 3
LABELLED = Path(__file__).parent


def microseconds(text: str) -> float:
    """Return the least time of a few readings, after one that fills the caches."""
    find(text)
    times = []
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        find(text)
        times.append(time.perf_counter() - begin)
    return min(times) * 1e6


def report(name: str, texts: list[str]) -> None:
    times = sorted(microseconds(text) for text in texts)
    print(
        f"{name:28} {len(times):5} texts  median {statistics.median(times):7.0f} µs  worst {times[-1]:7.0f} µs"
    )


def agreement(name: str, paths: list[Path]) -> None:
    """Print recall of each urgency (read as at least as urgent), exact agreement, and false alarms."""
    pairs: Counter[tuple[str | None, str | None]] = Counter()
    for path in paths:
        for line in path.read_text(encoding="utf-8").splitlines():
            reply = json.loads(line)
            context = reply["context"]
            concern = find(reply["text"], context["age_weeks"], context["affected_side"]).concern
            pairs[reply["expect"]["concern"], concern.urgency if concern else None] += 1
    parts = []
    for place, urgency in enumerate(URGENCIES):
        all_of = sum(count for (want, _), count in pairs.items() if want == urgency)
        caught = sum(pairs[urgency, got] for got in URGENCIES[: place + 1])
        parts.append(f"{urgency} {caught}/{all_of}")
    quiet = sum(count for (want, _), count in pairs.items() if want is None)
    false = quiet - pairs[None, None]
    exact = sum(count for (want, got), count in pairs.items() if want == got)
    print(
        f"{name:28} recall {', '.join(parts)}; false alarms {false}/{quiet} ({100 * false / max(quiet, 1):.1f} %); "
        f"exact {exact}/{pairs.total()}"
    )


def main() -> None:
    for name in ("tune", "report", "fresh"):
        agreement(name, sorted(LABELLED.glob(f"replies_*{name}.jsonl")))
    begin = time.perf_counter()
    find("warm up")
    print(f"loading and compiling the rules: {time.perf_counter() - begin:.2f} s")
    names = ("nothing", "tell_therapist", "same_day", "act_now")
    every = {name: [case.text for case in replies(name)] for name in names}
    for name, texts in every.items():
        report(name, texts)
    joined = ". ".join(text for texts in every.values() for text in islice(texts, 60))
    report("200 characters", [joined[at : at + 200] for at in range(0, len(joined) - 200, 97)])
    for length in (100, 400, 1600, 4096):
        report(f"{length} characters", [joined[:length]])


if __name__ == "__main__":
    main()
