"""Which sessions a day gets, and when: the least shortfall first, then turns, then early hours, then an even spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.bound import least_bound
from scheduling.crowded import Exchanges
from scheduling.day import DayShape
from scheduling.demands import Demand
from scheduling.early import made_early
from scheduling.fair import placed_fairly
from scheduling.goal_turns import GoalTurns
from scheduling.needs import Need
from scheduling.placing import Placing
from scheduling.search import Found, search
from scheduling.spread import FIXED, Frame, Placed
from scheduling.turns import in_turn
from scheduling.waking import after_waking
from scheduling.worth import TURN, Room, best_counts, even_lengths, gain, shared_minutes, trimmed


@dataclass(frozen=True, slots=True)
class Asked:
    """What a day is asked for. needs: those with something missing and an opening. week: each need's minutes of the
    seven days that end with this one, as logged. together: of each need, those that some goal holds with it. had: of each demand, what was done or asked for in
    those days, where the day may have fewer prompts than its plan allows; else None."""

    shape: DayShape
    needs: tuple[Need, ...]
    demands: tuple[Demand, ...]
    prompts: int
    frame: Frame
    week: tuple[float, ...]
    together: tuple[tuple[int, ...], ...]
    had: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Sessions:
    """placed: by time, (start, minutes, index of the need). bound: a worth that no day can pass; None where the day is not
    planned for the least shortfall."""

    placed: list[Placed]
    bound: float | None


def sessions_of(asked: Asked) -> Sessions:
    """Return the sessions of the day."""
    if not asked.prompts or not asked.needs:
        return Sessions([], 0.0 if asked.had is None else None)
    frame = asked.frame
    calm = Placing(_off_feeds(asked.needs, asked.shape.feeds), frame)
    bound: float | None = None
    if asked.had is None:
        placing, board, bound = _least_short(asked, calm)
    else:
        placing = calm
        board = placed_fairly(calm, asked.demands, asked.had, asked.week, asked.prompts)
    board = placing.reorder(placing.slide(placing.even_out(board)))
    board = placing.slide(in_turn(placing.needs, board, frame))
    if placing is not calm:
        board = _shifted_off_feeds(calm, board, asked)
    turns = GoalTurns(asked.needs, asked.demands, asked.week, asked.together, frame)
    board = made_early(turns.given_in_turn(board), asked.shape, turns)
    board = after_waking(board, calm, asked.shape, turns)
    return Sessions([placed for placed in board if placed[2] != FIXED], bound)


def _least_short(asked: Asked, calm: Placing) -> tuple[Placing, list[Placed], float]:
    """Return the needs within whose openings the sessions of the least shortfall stand, these sessions, and the bound.

    Where the counts that would be best stand side by side, no search is needed. Starts on the minute of a feed are used
    only where something would be missing without them.
    """
    needs, demands, frame = asked.needs, asked.demands, asked.frame
    room = Room.of(needs, asked.prompts, frame.gap)
    counts, won = best_counts(needs, demands, room)
    bound, prices = won, [0.0] * len(demands)
    if any(demand.goal for demand in demands):
        bound, prices = least_bound(needs, demands, room, won)
    minutes = shared_minutes(needs, demands, counts)
    jobs = [
        (index, length)
        for index, (need, count) in enumerate(zip(needs, counts, strict=True))
        if count
        for length in even_lengths(need, count, minutes[index])
    ]
    within, board = calm, calm.place_all(jobs)
    if board is None:
        within = Placing(needs, frame)
        board = within.place_all(jobs)
    if board is None or won < bound * (1 - 4 * TURN):
        found = _searched(asked, counts, bound, prices)
        bound = found.bound
        if board is None or found.worth > _worth(asked, board) * (1 + TURN):
            sessions = trimmed(needs, demands, found.sessions)
            within = Placing(needs, frame)
            board = sorted([*((at, 0, FIXED) for at in frame.sent), *sessions])
    return within, _without_idle(asked, board), bound


def _searched(asked: Asked, counts: Sequence[int], bound: float, prices: Sequence[float]) -> Found:
    """Return the best day by exchanges, or, of a small day, by a search through all."""
    needs, demands, gap = asked.needs, asked.demands, asked.frame.gap
    exchanges = Exchanges(needs, demands, asked.prompts, gap)
    sessions = exchanges.best(counts)
    board: list[Placed] = [(float(start), minutes, index) for start, minutes, index in sessions]
    best = Found(sessions, _worth(asked, board), bound)
    if best.worth >= bound * (1 - TURN):
        return best
    return search(needs, demands, asked.prompts, gap, best, prices)


def _worth(asked: Asked, board: Sequence[Placed]) -> float:
    rests = [demand.missing for demand in asked.demands]
    total = 0.0
    for _, minutes, index in board:
        if index == FIXED:
            continue
        need = asked.needs[index]
        total += gain(need, rests, minutes)
        for place, demand in need.demands:
            rests[place] = max(0.0, rests[place] - (1 if demand.times else minutes))
    return total


def _without_idle(asked: Asked, board: list[Placed]) -> list[Placed]:
    """Leave out sessions without which nothing more is missing: others of the same goals made them needless."""
    spare = [-demand.missing for demand in asked.demands]
    for _, minutes, index in board:
        if index != FIXED:
            for place, demand in asked.needs[index].demands:
                spare[place] += 1 if demand.times else minutes
    kept = []
    for placed in board:
        _, minutes, index = placed
        if index != FIXED:
            given = [(place, 1 if demand.times else minutes) for place, demand in asked.needs[index].demands]
            if all(spare[place] >= amount for place, amount in given):
                for place, amount in given:
                    spare[place] -= amount
                continue
        kept.append(placed)
    return kept


def _off_feeds(needs: tuple[Need, ...], feeds: Sequence[int]) -> tuple[Need, ...]:
    """Return the needs without starts on the minute of a feed, moments apart: there the plan says that it may.

    A session runs across no feed, so that only the first start of an opening can be one.
    """
    at_feeds = frozenset(feeds)
    calm = list(needs)
    for index, need in enumerate(needs):
        if not need.moments and any(first in at_feeds for first, _, _ in need.openings):
            kept = tuple(
                (first + (first in at_feeds), last, end)
                for first, last, end in need.openings
                if first not in at_feeds or first < last
            )
            calm[index] = replace(need, openings=kept)
    return tuple(calm)


def _shifted_off_feeds(calm: Placing, board: list[Placed], asked: Asked) -> list[Placed]:
    moved = list(board)
    at_feeds = frozenset(asked.shape.feeds)
    for place in reversed(range(len(moved))):
        start, _, index = moved[place]
        if index != FIXED and start in at_feeds and not calm.needs[index].moments:
            calm.shift(moved, place, start + 1)
    return moved
