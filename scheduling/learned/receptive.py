"""At which times a family takes a reminder up.

The chance of a time is a Beta-Binomial mean, (taken up + a) / (asked + a + b), of the evidence within an hour of it. The
prior (a, b) is fixed and not fitted to the family: else praise for one hour would raise the hours never tried. Shrinking
small counts to a prior: Efron and Morris 1975; messages timed by what a model goes on learning reach more people: Mishra et
al. 2021 (IMWUT 5(2):74). Where Thompson sampling would draw from the posterior, its mean stands: no randomness here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from zoneinfo import ZoneInfo

from scheduling.day import DayShape
from scheduling.learned.heard import Heard, Sighting, heard_before, silent_days
from scheduling.localtime import ONE_DAY, clock_stands, day_begins, local_at

STEP = 5
"""Minutes of the clock that share one chance."""

STEPS = 1440 // STEP
REACH = 60 // STEP
"""Steps at which evidence fades to nothing, to either side."""

HALF_LIFE = 10
"""Days after which evidence weighs half: sleep and habits of a first year drift over weeks. Ours, no source."""

OLDEST = 90
OTHER_KIND = 0.4
"""What evidence of a weekday says of a weekend, and the other way."""

UNIT = 1000
PRIOR = (1.5, 1.0)
"""As if 1.5 of 2.5 reminders had been taken up at each time: high enough that a poor hour gives way to one not tried."""

WEIGHTS: dict[str, tuple[int, int]] = {
    "done": (0, 800),  # done, but not at its time
    "no_answer": (0, 1000),
    "later": (0, 800),
    "refused": (0, 800),
    "asleep": (0, 1300),
    "told_asleep": (0, 1300),
    "told_awake": (400, 400),
    "told_feed": (100, 300),
    "session": (600, 600),
}
TAKEN_UP = (1000, 1000)

_FADED = [round(UNIT * 0.5 ** (age / HALF_LIFE)) for age in range(OLDEST + 1)]


Evidence = tuple[list[int], list[int]]
"""(taken up, asked) for each step of the clock, faded."""


class Receptive:
    """The chance that a reminder is taken up, for each five minutes of the clock, on weekdays and at weekends."""

    def __init__(self, weekday: Evidence, weekend: Evidence) -> None:
        self._evidence = (weekday, weekend)
        self._known: dict[bool, list[float]] = {}

    @staticmethod
    def of(heard: Iterable[Heard], day: date, zone: ZoneInfo) -> Receptive | None:
        """Return what was learned before a local date; None where nothing that tells of a time was heard."""
        sightings = heard_before(heard, day, zone)
        silent = silent_days(sightings)
        telling = [each for each in sightings if each.day not in silent] if silent else sightings
        return Receptive(*_by_step(telling, day.toordinal())) if telling else None

    def at_steps(self, *, weekend: bool) -> list[float]:
        """Return the chance at each five minutes of the clock."""
        if weekend not in self._known:
            self._known[weekend] = _chances(self._evidence[weekend], self._evidence[not weekend])
        return self._known[weekend]

    def through(self, shape: DayShape) -> list[float]:
        """Return the chance at every minute of a date, counted as elapsed since it began."""
        chances = self.at_steps(weekend=is_weekend(shape.day.toordinal()))
        if clock_stands(shape.day, shape.zone):
            return [chance for chance in chances for _ in range(STEP)]
        begins = day_begins(shape.day, shape.zone)
        length = (day_begins(shape.day + ONE_DAY, shape.zone) - begins) // timedelta(minutes=1)
        quarters = (local_at(shape.day, minute, shape.zone) for minute in range(0, length, 15))
        walls = (at.hour * 60 + at.minute + past for at in quarters for past in range(15))
        return [chances[wall % 1440 // STEP] for wall in walls]


@dataclass(frozen=True, slots=True)
class Window:
    """Reminders that were due from one time of the clock to another, in minutes, and how many of them were taken up."""

    start: int
    end: int
    answered: int
    asked: int


def windows(sightings: Iterable[Sighting], day: date, days: int = 28) -> list[Window]:
    """Return the hours of the clock in which reminders were due in the days before a date, silent days too."""
    today = day.toordinal()
    asked: dict[int, int] = {}
    answered: dict[int, int] = {}
    for each in sightings:
        if each.asked and today - days <= each.day < today:
            hour = each.minute // 60
            asked[hour] = asked.get(hour, 0) + 1
            answered[hour] = answered.get(hour, 0) + each.taken_up
    return [Window(hour * 60, hour * 60 + 60, answered[hour], asked[hour]) for hour in sorted(asked)]


def is_weekend(day: int) -> bool:
    """Say whether an ordinal date is a Saturday or a Sunday."""
    return (day - 1) % 7 >= 5  # ordinal 1 is a Monday


def _by_step(sightings: Sequence[Sighting], today: int) -> tuple[Evidence, Evidence]:
    evidence: tuple[Evidence, Evidence] = (([0] * STEPS, [0] * STEPS), ([0] * STEPS, [0] * STEPS))
    for each in sightings:
        age = today - each.day
        if age > OLDEST:
            continue
        faded = _FADED[max(age, 0)]
        taken, asked = TAKEN_UP if each.taken_up else WEIGHTS[each.what]
        kind = evidence[is_weekend(each.day)]
        step = each.minute // STEP
        kind[0][step] += faded * taken
        kind[1][step] += faded * asked
    return evidence


def _chances(own: Evidence, other: Evidence) -> list[float]:
    fifths = round(OTHER_KIND * 5)
    taken, asked = (
        _within_reach([5 * a + fifths * b for a, b in zip(mine, others, strict=True)])
        for mine, others in zip(own, other, strict=True)
    )
    scale = 5 * UNIT * UNIT * REACH
    a, total = PRIOR[0] * scale, sum(PRIOR) * scale
    return [(up + a) / (all_ + total) for up, all_ in zip(taken, asked, strict=True)]


def _within_reach(values: list[int]) -> list[int]:
    """Add up neighbours around the clock, each by its nearness: REACH times itself, down to once at REACH - 1 steps.

    A triangle is what two moving sums, one after the other, make of a point.
    """
    around = [*values[-REACH + 1 :], *values, *values[: REACH - 1]]
    once = _moving_sum(around)
    return _moving_sum(once)


def _moving_sum(values: list[int]) -> list[int]:
    sums = [0, *accumulate(values)]
    return [after - before for before, after in zip(sums, sums[REACH:], strict=False)]
