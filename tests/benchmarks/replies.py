"""How rightly and how fast replies are read. Run from the repository's root: python -m tests.benchmarks.replies

Prints accuracy by part and a confusion table of urgencies, by set and language; then microseconds a reply over the tables
of tests/replies, growth with length, hard texts, and lines a second. With --held-out: accuracy on the held-out set alone.
"""

from __future__ import annotations

import json
import statistics
import sys
import time

from bot.replies.context import answer_line
from bot.replies.reader import read_reply
from tests.benchmarks.labelled import HELD_OUT
from tests.benchmarks.replies_accuracy import print_accuracy
from tests.replies.said import WEDNESDAY_MORNING, context
from tests.replies.test_reader_tables import TABLES, rows

ROUNDS = 5
LINE_CONTEXT = {
    "now": "2026-03-04T10:20:00-06:00",
    "language": "en",
    "affected_side": "right",
    "age_weeks": 14,
}


def microseconds(text: str, language: str = "en", rounds: int = ROUNDS) -> list[float]:
    given = context("tummy", language)
    taken = []
    for _ in range(rounds):
        begin = time.perf_counter()
        read_reply(text, given)
        taken.append((time.perf_counter() - begin) * 1e6)
    return taken


def main() -> None:
    if "--held-out" in sys.argv[1:]:
        print_accuracy((HELD_OUT,))
        return
    print_accuracy()
    print_speed()


def print_speed() -> None:
    replies = [(text, language) for table in TABLES for text, language, _, _ in rows(table)]
    for text, language in replies:
        microseconds(text, language, rounds=1)
    taken = [t for text, language in replies for t in microseconds(text, language)]
    ordered = sorted(taken)
    print(f"\n{len(replies)} replies, median {statistics.median(len(t) for t, _ in replies):.0f} characters")
    print(
        f"median {statistics.median(taken):.0f} µs, 95 % {ordered[int(len(ordered) * 0.95)]:.0f} µs, worst {ordered[-1]:.0f} µs"
    )
    whole = " ".join(text for text, language in replies if language == "en" and "\n" not in text)
    for length in (50, 100, 200, 400, 800, 1600, 3200, 4096):
        print(f"{length:5d} characters: {min(microseconds(whole[:length])):8.0f} µs")
    for name, hard in (
        ("no no no…", "no " * 1365),
        ("9:0 to 9:0…", "9:00 to " * 512),
        ("5 x 5 x…", "5 x " * 1024),
        ("5 left 5…", "5 left " * 600),
        ("😭😭😭…", "😭" * 4096),
        ("tummy tummy…", "tummy " * 700),
    ):
        print(f"4096 of {name:12s}: {min(microseconds(hard[:4096], rounds=2)):8.0f} µs")
    lines = [json.dumps({"text": text, "context": LINE_CONTEXT}) for text, _ in replies] * 4
    begin = time.perf_counter()
    for line in lines:
        answer_line(line, WEDNESDAY_MORNING)
    print(f"{len(lines) / (time.perf_counter() - begin):.0f} lines a second")


if __name__ == "__main__":
    main()
