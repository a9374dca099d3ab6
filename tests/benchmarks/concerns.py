"""How long reading signs takes: short replies, 200 characters at worst, and growth with length.

Run from the repository root: python -m tests.benchmarks.concerns
"""

from __future__ import annotations

import statistics
import time
from itertools import islice

from tests.concerns.cases import find, replies

ROUNDS = 3


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


def main() -> None:
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
