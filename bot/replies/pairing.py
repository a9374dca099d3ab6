"""Which activity or side goes with which amount."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict


def paired(
    amounts: list[int], items: list[int], clause_of: list[int], sentences: list[int] | None = None
) -> dict[int, int]:
    """Return, per amount, the item that goes with it; both are places in the row of marks, in order.

    Within a clause: one item serves every amount (with `sentences` the nearest only), equal numbers go in order, otherwise the nearest. Across clauses:
    an item without an amount of its own clause serves the clause after it, else the one before it; with `sentences`
    (of each clause) only inside one sentence.
    """
    chosen: dict[int, int] = {}
    if not items:
        return chosen
    by_clause: dict[int, list[int]] = defaultdict(list)
    for item in items:
        by_clause[clause_of[item]].append(item)
    amounts_in: dict[int, list[int]] = defaultdict(list)
    for amount in amounts:
        amounts_in[clause_of[amount]].append(amount)
    for clause, here in amounts_in.items():
        if by_clause[clause]:
            chosen.update(_within(here, by_clause[clause], shared=sentences is None))
    taken = set(chosen.values())
    for amount in amounts:
        if amount in chosen:
            continue
        for beside in (clause_of[amount] - 1, clause_of[amount] + 1):
            free = [i for i in by_clause.get(beside, []) if i not in taken]
            apart = sentences and free and sentences[beside] != sentences[clause_of[amount]]
            if free and not apart and not amounts_in.get(beside):
                item = free[-1] if beside < clause_of[amount] else free[0]
                chosen[amount] = item
                taken.add(item)
                break
    return chosen


def _within(amounts: list[int], items: list[int], shared: bool) -> dict[int, int]:
    if len(items) == 1 and shared:
        return dict.fromkeys(amounts, items[0])
    if len(items) == 1:
        return {min(amounts, key=lambda a: abs(a - items[0])): items[0]}
    if len(items) == len(amounts):
        return dict(zip(amounts, items, strict=True))
    leading = amounts[0] < items[0]
    nearest: dict[int, int] = {}
    for amount in amounts:
        after = bisect_left(items, amount)
        beside = items[max(0, after - 1) : after + 1]
        nearest[amount] = min(beside, key=lambda i: (abs(i - amount), (i < amount) == leading))
    return nearest
