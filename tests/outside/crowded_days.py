"""Records what OR-Tools' CP-SAT finds on crowded days when it has time: crowded_days.json, which the tests hold ours against.

    python -m tests.outside.crowded_days

Forty seconds and two workers a day; most such days it cannot prove. "bound": what it proved that no plan can come below.
"""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

from tests.outside.day_cases import random_case
from tests.outside.day_solver import solved

FILE = Path(__file__).with_suffix(".json")
SEEDS = range(24)
LEAST_PROMPTS = 10
"""Days on which fewer prompts than this fit at all are passed over: they are not crowded."""


def crowded_case(seed: int) -> dict[str, Any]:
    """Return the day of a seed; every other one has goals."""
    return random_case(Random(f"crowded {seed}"), "crowded", goals=bool(seed % 2))


def main() -> None:
    rows = []
    for seed in SEEDS:
        found = solved(crowded_case(seed), seconds=40, workers=2)
        if found.prompts >= LEAST_PROMPTS:
            rows.append(
                {
                    "seed": seed,
                    "shortfall": round(found.shortfall, 6),
                    "bound": round(found.bound, 6),
                    "proved": found.proved,
                }
            )
    FILE.write_text("[\n" + ",\n".join(map(json.dumps, rows)) + "\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
