"""What no day can pass, where goals are in the plan: an upper bound of a day's worth.

With goals one prompt's worth hangs on others', so that taking the best again and again proves nothing. Each goal's worth is
therefore split by a price: `price` of each minute is paid to the activity that does it, without asking what the others do,
and the rest of its worth is given in full at once. Whatever the prices, no day is worth more (Lagrangian relaxation of
"a goal counts no more than it misses"); then prompts are worth what they are worth alone, and the greedy rule is exact.
"""

from __future__ import annotations

from collections.abc import Sequence

from scheduling.demands import Demand
from scheduling.needs import Need
from scheduling.worth import TURN, Room, worth_now

_HALVINGS = 7


def alone(need: Need, prices: Sequence[float], rests: Sequence[float], length: int, taken: int) -> float:
    """Return what one session more of `length` is worth by the prices, `taken` of the same length being counted."""
    total = 0.0
    for place, demand in need.demands:
        amount = 1 if demand.times else length
        rest = rests[place] - taken * amount
        if rest > 0:
            worth = prices[place] if demand.goal else worth_now(demand, rest)
            total += worth * min(amount, rest)
    return total


def given(demands: Sequence[Demand], prices: Sequence[float], rests: Sequence[float]) -> float:
    """Return what the prices leave of the goals' worth: counted in full."""
    return sum(
        (demand.worth * (1 + TURN) - price) * rest
        for demand, price, rest in zip(demands, prices, rests, strict=True)
        if demand.goal
    )


def least_bound(
    needs: Sequence[Need], demands: Sequence[Demand], room: Room, reached: float
) -> tuple[float, list[float]]:
    """Return the least bound found, and the prices that give it. reached: a worth that some day has.

    One goal's price after another is halved towards where what is paid for is just what the goal misses.
    """
    rests = [demand.missing for demand in demands]
    prices = [demand.worth * (1 + TURN) if demand.goal else 0.0 for demand in demands]
    best, paid = _bound(needs, demands, room, prices, rests)
    kept = list(prices)
    for place, demand in enumerate(demands):
        if not demand.goal or not demand.missing:
            continue
        low, high = 0.0, prices[place]
        prices = list(kept)
        for _ in range(_HALVINGS):
            if best <= reached * (1 + 4 * TURN):
                return best, kept
            prices[place] = (low + high) / 2
            bound, paid = _bound(needs, demands, room, prices, rests)
            if bound < best:
                best, kept = bound, list(prices)
            if paid[place] > demand.missing:
                high = prices[place]
            else:
                low = prices[place]
    return best, kept


def _bound(
    needs: Sequence[Need],
    demands: Sequence[Demand],
    room: Room,
    prices: Sequence[float],
    rests: Sequence[float],
) -> tuple[float, list[float]]:
    """Return the bound by these prices, and how much of each demand they pay for."""
    counts = [0] * len(needs)
    paid = [0.0] * len(demands)

    def take(index: int) -> Sequence[int]:
        for place, demand in needs[index].demands:
            amount = 1 if demand.times else room.lengths[index]
            paid[place] += min(amount, max(0.0, rests[place] - counts[index] * amount))
        counts[index] += 1
        return (index,)

    won = room.filled(lambda n: alone(needs[n], prices, rests, room.lengths[n], counts[n]), take)
    return won + given(demands, prices, rests), paid
