"""What is learned of a family's hours, against numpy and pandas.

The chances are computed again from their published form, the mean of a Beta-Binomial posterior, (taken up + a) / (asked + a +
b) (Gelman et al., Bayesian Data Analysis, 3rd ed., chapter 2; from memory), with the evidence smoothed by a triangle around the clock
(numpy.fft) instead of moving sums of whole numbers. The windows are counted by pandas.groupby. The weights, the half-life and
the prior are our own choice: they are named here again, by hand, so that a change of them is seen.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from scheduling.learned.heard import Heard, heard_before
from scheduling.learned.receptive import Receptive, windows

ZONE = ZoneInfo("Europe/Dublin")
DAY = date(2026, 3, 4)
FIVE = 288  # five-minute steps of a clock
MOST_WORDS = {
    "done_late": (0, 0.8),
    "no_answer": (0, 1),
    "later": (0, 0.8),
    "refused": (0, 0.8),
    "asleep": (0, 1.3),
}
UNASKED = {"told_asleep": (0, 1.3), "told_awake": (0.4, 0.4), "told_feed": (0.1, 0.3), "session": (0.6, 0.6)}


def heard(seed: int) -> list[Heard]:
    """Thirty days of an invented family, every one with a word, so that none is silent."""
    random, told = Random(seed), []
    for ago in range(1, 31):
        for _ in range(random.randint(1, 8)):
            at = datetime(2026, 3, 4, random.randrange(24), random.randrange(60), tzinfo=ZONE) - timedelta(
                days=ago
            )
            what = random.choice(
                ["done", "done", "done_late", "no_answer", "later", "refused", "asleep", *UNASKED]
            )
            late = {"done": 12, "done_late": 45}.get(what, 3)
            answered = None if what == "no_answer" or what in UNASKED else at + timedelta(minutes=late)
            told.append(Heard(what.removesuffix("_late"), at, answered))  # type: ignore[arg-type]
        told.append(Heard("session", datetime(2026, 3, 4, 11, 0, tzinfo=ZONE) - timedelta(days=ago), None))
    return told


def frame(told: list[Heard]) -> pd.DataFrame:
    rows = []
    for each in told:
        late = None if each.answered_at is None else (each.answered_at - each.at) / timedelta(minutes=1)
        taken = each.what == "done" and late is not None and late <= 30
        up, asked = (
            (1, 1) if taken else {**MOST_WORDS, **UNASKED}["done_late" if each.what == "done" else each.what]
        )
        rows.append(
            {
                "day": each.at.date(), "minute": each.at.hour * 60 + each.at.minute, "up": up, "asked": asked,
                "reminder": each.what not in UNASKED, "taken": taken,
            }
        )  # fmt: skip
    table = pd.DataFrame(rows)
    table["age"] = [(DAY - day).days for day in table["day"]]
    table["weekend"] = [day.isoweekday() >= 6 for day in table["day"]]
    return table


def chances(table: pd.DataFrame, *, weekend: bool) -> np.ndarray:
    share = np.where(table["weekend"] == weekend, 1.0, 0.4) * 0.5 ** (table["age"] / 10)
    steps = table["minute"] // 5
    away = np.minimum(np.arange(FIVE), FIVE - np.arange(FIVE))
    triangle = np.clip(1 - away / 12, 0, None)

    def around(column: str) -> np.ndarray:
        sums = np.bincount(steps, weights=share * table[column], minlength=FIVE)
        return np.fft.irfft(np.fft.rfft(sums) * np.fft.rfft(triangle), FIVE)

    return (around("up") + 1.5) / (around("asked") + 2.5)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("weekend", [False, True])
def test_the_chance_of_each_time_is_the_posterior_mean_of_the_evidence_about_it(
    seed: int, weekend: bool
) -> None:
    told = heard(seed)
    known = Receptive.of(told, DAY, ZONE)

    assert known is not None
    ours = np.array(known.at_steps(weekend=weekend))
    # Fading is kept to a thousandth, as whole numbers.
    assert np.abs(ours - chances(frame(told), weekend=weekend)).max() < 2e-3


@pytest.mark.parametrize("seed", range(8))
def test_hours_rank_as_numpy_ranks_them(seed: int) -> None:
    told = heard(seed)
    known = Receptive.of(told, DAY, ZONE)

    assert known is not None
    ours, theirs = np.array(known.at_steps(weekend=False)), chances(frame(told), weekend=False)
    best = set(np.flatnonzero(ours >= np.quantile(ours, 0.9)))
    assert len(best & set(np.argsort(theirs)[-len(best) :])) >= 0.9 * len(best)


@pytest.mark.parametrize("seed", range(8))
def test_windows_count_reminders_as_pandas_does(seed: int) -> None:
    told = heard(seed)
    table = frame(told)
    asked = table[table["reminder"] & (table["age"] <= 28)]
    hours = asked.groupby(asked["minute"] // 60)["taken"].agg(["sum", "count"])
    ours = {
        each.start // 60: (each.answered, each.asked) for each in windows(heard_before(told, DAY, ZONE), DAY)
    }

    assert ours == {int(hour): (int(row["sum"]), int(row["count"])) for hour, row in hours.iterrows()}


def test_ten_days_halve_what_was_heard() -> None:
    def after(days: int) -> float:
        at = datetime(2026, 3, 4, 9, 0, tzinfo=ZONE) - timedelta(days=days)
        known = Receptive.of(
            [Heard("no_answer", at, None), Heard("session", at.replace(hour=20), None)], DAY, ZONE
        )
        assert known is not None
        chance = known.at_steps(weekend=False)[9 * 12]
        return 1.5 / chance - 2.5  # how much evidence the mean holds

    # Wednesdays both, 7 and 21 days ago: fourteen days apart.
    assert after(21) / after(7) == pytest.approx(0.5 ** (14 / 10), rel=0.01)
