"""What learning gives simulated families, and what it costs. Prints figures; asserts nothing.

    python -m tests.benchmarks.learning [--families 60] [--first 0]

Two arms live the same truth (tests/scheduling/learned/simulated_families.py), with and without learning. Then the time of one
line of JSON, in and out: a day without and with 28 days heard, and what was learned from them.
"""

from __future__ import annotations

import argparse
import json
import resource
from collections.abc import Callable, Sequence
from statistics import median
from time import perf_counter, process_time
from typing import Any

from bot.commands.work.day import answer_lines, wording_in
from bot.phrases import words_for
from bot.phrases.learned import suggestion_in_words
from scheduling.case import case_from
from scheduling.learn_case import learn_case_from
from scheduling.learned.heard import OUTCOMES, Heard
from scheduling.plan import document_of
from tests.benchmarks.planner import TYPICAL, plan_of
from tests.scheduling.learned.simulated_families import FIRST, Lived, family_of, figures, live


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--families", type=int, default=60)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--stream", type=int, default=2000, help="lines of learning in one stream")
    options = parser.parse_args()
    families = [family_of(seed) for seed in range(options.first, options.first + options.families)]
    learned = [live(family, learning=True) for family in families]
    static = [live(family, learning=False) for family in families]
    print(
        "families              ill-timed      taken up       minutes  told wrongly  gap      asked  refused"
    )
    for name, chosen in (
        ("all", [True] * len(families)),
        ("day did not change", [not family.changes for family in families]),
        ("never tap asleep", [not family.taps for family in families]),
    ):
        _row(name, _chosen(learned, chosen), _chosen(static, chosen))
    _speed(learned)
    _many(learned, options.stream)


def _chosen(lived: Sequence[Lived], chosen: Sequence[bool]) -> list[Lived]:
    return [each for each, take in zip(lived, chosen, strict=True) if take]


def _row(name: str, learned: Sequence[Lived], static: Sequence[Lived]) -> None:
    if not learned:
        return
    a, b = figures(learned), figures(static)
    print(
        f"{name:20s}  {a.ill_timed:.1%} / {b.ill_timed:.1%}  {a.taken_up:.1%} / {b.taken_up:.1%}"
        f"  {a.minutes_a_day / b.minutes_a_day:.2f}     {a.wrong_minutes / b.wrong_minutes:.2f}"
        f"          {a.gap / b.gap:.2f}     {a.suggestions_a_week:.2f}   {a.turned_down:.0%}"
    )


def _speed(learned: Sequence[Lived]) -> None:
    heard = [_as_json(each) for each in max(learned, key=lambda lived: len(lived.heard)).heard]
    case = {"plan": document_of(plan_of(TYPICAL)), "date": FIRST.replace(day=25).isoformat()}
    wording, words = wording_in("en"), words_for("en")
    day = _microseconds(case, lambda each: case_from(each).answer(wording))
    both = _microseconds(case | {"heard": heard}, lambda each: case_from(each).answer(wording))
    learn = _microseconds(
        case | {"heard": heard},
        lambda each: learn_case_from(each).answer(lambda found: suggestion_in_words(found, words)),
    )
    print(f"a line, {len(heard)} entries heard: day {day:.0f} µs without, {both:.0f} with; learn {learn:.0f}")


def _many(learned: Sequence[Lived], lines: int) -> None:
    """Learn of many families in one stream, as `underwing learn --lines` does, and print time and peak memory on the way."""
    wording = words_for("en")
    plan = document_of(plan_of(TYPICAL))
    cases = [
        json.dumps(
            {
                "plan": plan,
                "date": FIRST.replace(day=25).isoformat(),
                "heard": [_as_json(e) for e in each.heard],
            }
        )
        for each in learned
    ]
    stream = (cases[number % len(cases)].encode() for number in range(lines))
    begin, peaks = process_time(), []
    answers = answer_lines(
        stream, lambda each: learn_case_from(each).answer(lambda found: suggestion_in_words(found, wording))
    )
    for number, _ in enumerate(answers, 1):
        if number in (lines // 10, lines):
            peaks.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    a_line = (process_time() - begin) / lines * 1e6
    print(
        f"{lines} families learned of in one stream: {a_line:.0f} us of processor time each, peak memory "
        f"{peaks[0]:.0f} MB after a tenth, {peaks[-1]:.0f} MB at the end"
    )


def _as_json(entry: Heard) -> dict[str, Any]:
    told: dict[str, Any] = {"what": entry.what, "at": entry.at.isoformat()}
    if entry.what in OUTCOMES:
        told |= {"activity": "tummy", "answered_at": entry.answered_at and entry.answered_at.isoformat()}
    return told


def _microseconds(case: dict[str, Any], answer: Callable[[object], dict[str, Any]]) -> float:
    line = json.dumps(case).encode()
    taken = []
    for _ in range(200):
        begin = perf_counter()
        list(answer_lines([line], answer))
        taken.append(perf_counter() - begin)
    return median(taken) * 1e6


if __name__ == "__main__":
    main()
