"""A day that may have fewer prompts than its plan allows: what is left out rotates.

Least shortfall alone would leave the same targets out day after day: those of which one prompt does a smaller part. So on
such a day the law is another: each prompt goes to the target that was met by the smallest share in the last seven days, this
one with them, among those for which a place is left. Two targets that always find a place then differ over seven days by no
more than the share that one prompt of theirs gives. A prompt that was sent and not done counts as if it had been: its turn was
had, and a target that a family never does must not take every turn from the others.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import ceil

from scheduling.demands import Demand
from scheduling.history import DAYS_OF_TURNS, History
from scheduling.needs import Need
from scheduling.placing import Placing
from scheduling.spread import FIXED, Placed, insert
from scheduling.worth import longest


def had_of_week(demands: Sequence[Demand], needs: Sequence[Need], history: History, day: date) -> list[float]:
    """Return how much of each demand was done or asked for on `day` and the six days before it."""
    most = {need.activity.activity: need.activity.session[1] for need in needs}
    had = [0.0] * len(demands)
    for ago in range(DAYS_OF_TURNS):
        for entry, _ in history.entries.get(day - timedelta(days=ago), ()):
            minutes = history.least[entry.activity] if entry.minutes is None else entry.minutes
            if minutes == 0 and entry.prompted:
                minutes = most.get(entry.activity, 0)
            for place, demand in enumerate(demands):
                if minutes > 0 and entry.activity in demand.members:
                    had[place] += 1 if demand.times else minutes
    return had


def placed_fairly(
    placing: Placing,
    demands: Sequence[Demand],
    had: Sequence[float],
    week: Sequence[float],
    prompts: int,
) -> list[Placed]:
    """Return the day's sessions, by time, one prompt after another given to the target that is furthest behind.

    had: of each demand in seven days. week: each need's minutes of them, by which activities of a goal take turns. Ties: the
    heavier weight, then the order of the plan.
    """
    needs = placing.needs
    board: list[Placed] = [(at, 0, FIXED) for at in sorted(placing.frame.sent)]
    done, minutes_of = list(had), list(week)
    rests = [demand.missing for demand in demands]
    for _ in range(prompts):
        order = sorted(
            (place for place, rest in enumerate(rests) if rest > 0),
            key=lambda place: (done[place] / demands[place].target, -demands[place].counted, place),
        )
        found = next(
            (session for place in order for session in _sessions(placing, rests, place, minutes_of, board)),
            None,
        )
        if found is None:
            break
        insert(board, found)
        _, minutes, index = found
        minutes_of[index] += minutes
        for place, demand in needs[index].demands:
            amount = 1 if demand.times else minutes
            done[place] += amount
            rests[place] -= amount
    return board


def _sessions(
    placing: Placing, rests: Sequence[float], place: int, minutes_of: Sequence[float], board: list[Placed]
) -> list[Placed]:
    """Return the first session that finds a place for one demand, alone in a list; [] where none does."""
    needs = placing.needs
    members = [n for n, need in enumerate(needs) if any(at == place for at, _ in need.demands)]
    for index in sorted(members, key=lambda n: (minutes_of[n], n)):
        need = needs[index]
        wanted = max((rests[at] for at, demand in need.demands if not demand.times), default=0)
        most = max(need.least, min(longest(need), ceil(wanted)))
        for minutes in dict.fromkeys((most, need.least)):
            spot = placing.best_place(index, minutes, board)
            if spot is not None:
                return [(spot[1], minutes, index)]
    return []
