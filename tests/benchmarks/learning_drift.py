"""What learning gives where a day changes otherwise than the simulated families do for which its numbers were chosen. Prints figures; asserts nothing.

    python -m tests.benchmarks.learning_drift [--families 12] [--first 7000]

Two arms live the same truth, with and without learning. All kinds of change are invented. Minutes told wrongly are the mean of the
last seven days against the shape as told in the end, since two of the kinds have no one shape.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from statistics import mean

from tests.scheduling.learned.simulated_families import (
    DAYS,
    Family,
    Lived,
    Shape,
    family_of,
    figures,
    live,
    wrong_minutes,
)

Later = Callable[[int], float]
"""Day → by how many minutes the naps stand later than on the first."""


@dataclass(frozen=True, slots=True)
class OtherFamily(Family):
    """A family whose naps move by a law of their own. drops: the day from which the last nap is gone, or None."""

    later: Later
    drops: int | None

    def shape(self, ahead: int) -> Shape:
        naps = self.naps if self.drops is None or ahead < self.drops else self.naps[:-1]
        moved = tuple((middle + self.later(ahead), length) for middle, length in naps)
        return Family.shape(_plain(self, moved), ahead)


def _plain(family: Family, naps: tuple[tuple[float, float], ...]) -> Family:
    told = {field.name: getattr(family, field.name) for field in fields(Family)}
    return Family(**told | {"naps": naps, "drift": (0.0,) * len(naps), "goes": None})


KINDS: dict[str, tuple[Later, int | None]] = {
    "40 min later on day 7, back on day 17": (lambda ahead: 40.0 if 7 <= ahead < 17 else 0.0, None),
    "40 min later from day 7 on": (lambda ahead: 40.0 if ahead >= 7 else 0.0, None),
    "last nap gone from day 9 on": (lambda ahead: 0.0, 9),
    "later by half a minute a day": (lambda ahead: 0.5 * ahead, None),
    "45 min later at weekends": (lambda ahead: 45.0 if ahead % 7 >= 5 else 0.0, None),
    "every second week in a home 45 min later": (lambda ahead: 45.0 if ahead // 7 % 2 else 0.0, None),
    "nothing changes": (lambda ahead: 0.0, None),
}


def other_family(seed: int, kind: str) -> OtherFamily:
    """Return the family of a seed, its naps moved as a kind says."""
    family = family_of(seed)
    told = {field.name: getattr(family, field.name) for field in fields(Family)}
    later, drops = KINDS[kind]
    return OtherFamily(**told, later=later, drops=drops)


def _wrong(lived: Sequence[Lived]) -> float:
    return mean(
        wrong_minutes(each.plan.awake, each.family.shape(ahead))
        for each in lived
        for ahead in range(DAYS - 7, DAYS)
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--families", type=int, default=12)
    parser.add_argument("--first", type=int, default=7000)
    options = parser.parse_args()
    print(
        "with / without learning                     ill-timed       taken up        wrong minutes  a week  turned down"
    )
    for kind in KINDS:
        families = [
            other_family(seed, kind) for seed in range(options.first, options.first + options.families)
        ]
        learned = [live(family, learning=True) for family in families]
        static = [live(family, learning=False) for family in families]
        a, b = figures(learned), figures(static)
        asked, refused = (
            sum(len(of) for of in each)
            for each in ((x.suggestions for x in learned), (x.refused for x in learned))
        )
        print(
            f"{kind:42s}  {a.ill_timed:.1%} / {b.ill_timed:.1%}  {a.taken_up:.1%} / {b.taken_up:.1%}"
            f"  {_wrong(learned):.0f} / {_wrong(static):.0f}  {a.suggestions_a_week:.2f}  {refused} of {asked}"
        )


if __name__ == "__main__":
    main()
