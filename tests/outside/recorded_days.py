"""Records the least shortfall that OR-Tools' CP-SAT finds on the days of fixed seeds: recorded_days.json, which ours is held against.

    python -m tests.outside.recorded_days

Two seconds a day, four where goals are in the plan. "cases": by what the days themselves are known again, so that a change of
how they are made asks for recording anew.
"""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

from tests.outside.day_cases import random_case, with_log
from tests.outside.day_solver import solved

FILE = Path(__file__).with_suffix(".json")
SETS = {
    "small": 130, "middle": 50, "tight": 40, "night": 60, "goals small": 60, "goals middle": 15,
}  # fmt: skip


def recorded_case(name: str, seed: int) -> dict[str, Any]:
    """Return the day of a seed of a set; every other one has a log."""
    random = Random(f"{name} {seed}")
    case = random_case(random, name.split()[-1], goals=name.startswith("goals"))
    return with_log(random, case) if seed % 2 else case


def known_again(name: str) -> str:
    """Return what the days of a set are known again by."""
    days = [recorded_case(name, seed) for seed in range(SETS[name])]
    return sha256(json.dumps(days, sort_keys=True, default=str).encode()).hexdigest()[:16]


def main() -> None:
    record: dict[str, Any] = {}
    for name, days in SETS.items():
        found = [
            solved(recorded_case(name, seed), seconds=4 if "goals" in name else 2) for seed in range(days)
        ]
        shortfalls = [round(each.shortfall, 6) for each in found]
        unproved = [seed for seed, each in enumerate(found) if not each.proved]
        record[name] = {"cases": known_again(name), "shortfalls": shortfalls, "unproved": unproved}
    lines = [f"{json.dumps(name)}: {json.dumps(row)}" for name, row in record.items()]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
