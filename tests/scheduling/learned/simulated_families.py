"""Families with a day of their own that the planner does not see: seeded, so that both arms live the same truth.

All of it is invented: the number of naps falls with age as in Galland et al. 2012 (wide ranges), the rest (phase, drift, noise,
busy hours, how often a carer answers) is ours, no source.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

from scheduling.history import LogEntry
from scheduling.learned.changes import suggest
from scheduling.learned.heard import Heard, Outcome, heard_before
from scheduling.learned.places import plan_heard
from scheduling.learned.receptive import Receptive
from scheduling.learned.suggestion import Asked, Suggestion
from scheduling.localtime import instant_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan
from scheduling.planner import DayPlan

FIRST = date(2026, 3, 2)
DAYS = 28
ZONE = ZoneInfo("America/Halifax")
MEASURED_FROM = 10

Span = tuple[int, int]
Shape = tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """naps: (middle, length) on the first day. drift: minutes a day of each. goes: (nap, day) of a nap that goes."""

    seed: int
    night: Span
    naps: tuple[tuple[float, float], ...]
    drift: tuple[float, ...]
    goes: tuple[int, int] | None
    noise: float
    taps: bool
    second_carer: bool
    busy: dict[bool, frozenset[int]]
    silent: frozenset[int]
    feeds: tuple[int, ...]

    @property
    def changes(self) -> bool:
        return any(self.drift) or self.goes is not None

    def shape(self, ahead: int) -> Shape:
        """Return the awake spans as they mostly are `ahead` days after the first."""
        naps = [
            (middle + drift * ahead, length)
            for place, ((middle, length), drift) in enumerate(zip(self.naps, self.drift, strict=True))
            if self.goes is None or place != self.goes[0] or ahead < self.goes[1]
        ]
        return _awake(self.night, naps)

    def shape_of_day(self, ahead: int) -> Shape:
        """Return the awake spans of one date, with its noise."""
        chance = random.Random(f"{self.seed}/{ahead}")
        lived = self.shape(ahead)
        moved = [chance.gauss(0, self.noise) for _ in range(len(lived) - 1)]
        spans = [list(span) for span in lived]
        for place, by in enumerate(moved):
            spans[place][1] += round(by)
            spans[place + 1][0] += round(by + chance.gauss(0, self.noise / 2))
        return tuple((start, max(start + 10, end)) for start, end in spans)


def _awake(night: Span, naps: Sequence[tuple[float, float]]) -> Shape:
    edges = [night[0]]
    for middle, length in naps:
        edges += [round(middle - length / 2), round(middle + length / 2)]
    edges.append(night[1])
    return tuple((edges[place], edges[place + 1]) for place in range(0, len(edges), 2))


def family_of(seed: int) -> Family:
    """Return the family of a seed."""
    chance = random.Random(f"family {seed}")
    count = chance.choice((2, 3, 3, 4))
    begin, end = chance.randrange(360, 450, 15), chance.randrange(1110, 1230, 15)
    part = (end - begin) / (count + 1)
    length = {2: 90, 3: 70, 4: 50}[count]
    naps = tuple(
        (begin + part * (place + 1) + chance.uniform(-20, 20), length + chance.uniform(-15, 15))
        for place in range(count)
    )
    still = chance.random() < 0.25
    slope = 0.0 if still else chance.choice((-1, 1)) * chance.uniform(0.7, 2.5)
    drift = tuple(slope * chance.uniform(0.6, 1.4) for _ in naps)
    goes = (count - 1, chance.randrange(6, 16)) if not still and chance.random() < 1 / 3 else None
    hours = range(7, 20)
    weekday = frozenset(chance.sample(hours, 4))
    weekend = frozenset(chance.sample(hours, 3))
    silent = chance.randrange(12, 20) if chance.random() < 0.2 else 99
    return Family(
        seed=seed,
        night=(begin, end),
        naps=naps,
        drift=drift,
        goes=goes,
        noise=chance.uniform(5, 15),
        taps=chance.random() < 0.6,
        second_carer=chance.random() < 0.3,
        busy={False: weekday, True: weekend},
        silent=frozenset(range(silent, silent + 7)),
        feeds=tuple(span[0] + 5 for span in _awake((begin, end), naps)),
    )


def told_plan(family: Family) -> Plan:
    """Return the plan with the shape as told on the first day, in steps of a quarter of an hour."""
    awake = tuple((round(a / 15) * 15, round(b / 15) * 15) for a, b in family.shape(0))
    return Plan(
        baby=Baby("Wren", FIRST - timedelta(days=120), 39, "left"),
        time_zone=str(ZONE),
        awake=awake,
        feeds=family.feeds,
        quiet=(1260, 360),
        most_prompts=6,
        shortest_gap=30,
        activities=(
            Activity("tummy", MinutesADay(30), (5, 10), after_feed=15, own_gap=60, weight=3),
            Activity("sitting", MinutesADay(15), (5, 10), side="alternate"),
            Activity("reaching", MinutesADay(10), (5, 5), side="affected"),
        ),
    )


def awake_at(shape: Shape, minute: int) -> bool:
    return any(start <= minute < end for start, end in shape)


def wrong_minutes(told: Shape, true: Shape) -> int:
    """Return the minutes of a day that one shape calls asleep and the other awake."""
    return sum(awake_at(told, minute) != awake_at(true, minute) for minute in range(1440))


@dataclass(slots=True)
class Lived:
    """What came of one family in one arm. rows: (day, minute, ill-timed, taken up, minutes done) of each prompt."""

    family: Family
    plan: Plan
    heard: list[Heard] = field(default_factory=list)
    log: list[LogEntry] = field(default_factory=list)
    rows: list[tuple[int, int, bool, bool, int]] = field(default_factory=list)
    refused: list[Asked] = field(default_factory=list)
    confirmed: list[Asked] = field(default_factory=list)
    suggestions: list[tuple[int, Suggestion]] = field(default_factory=list)


def live(family: Family, *, learning: bool) -> Lived:
    """Let a family live 28 days with or without learning."""
    lived = Lived(family, told_plan(family))
    for ahead in range(DAYS):
        day = FIRST + timedelta(days=ahead)
        if learning:
            _ask(lived, ahead)
        receptive = Receptive.of(lived.heard, day, ZONE) if learning else None
        planned = plan_heard(lived.plan, day, 1, lived.log, receptive)[0]
        _through(lived, ahead, planned)
    return lived


def _ask(lived: Lived, ahead: int) -> None:
    day = FIRST + timedelta(days=ahead)
    found = suggest(lived.plan, day, heard_before(lived.heard, day, ZONE), lived.refused, lived.confirmed)
    if found is None:
        return
    lived.suggestions.append((ahead, found))
    asked = Asked(day, found.field, found.from_value, found.to_value)
    chance = random.Random(f"ask {lived.family.seed}/{ahead}")
    true = lived.family.shape(ahead)
    if found.field == "feeds":
        feeds = [start + 5 for start, _ in true]
        to_feeds = tuple(at for (at,) in found.to_value)
        if _off(to_feeds, feeds) < _off(lived.plan.feeds, feeds) and chance.random() > 0.1:
            lived.plan = replace(lived.plan, feeds=to_feeds)
            lived.confirmed.append(asked)
            return
    else:
        to = tuple((a, b) for a, b in found.to_value)
        better = wrong_minutes(to, true) < wrong_minutes(lived.plan.awake, true)
        if better and chance.random() > 0.1:
            lived.plan = replace(lived.plan, awake=to)
            lived.confirmed.append(asked)
            return
    lived.refused.append(asked)


def _off(told: Sequence[int], true: Sequence[int]) -> int:
    return sum(min(abs(at - other) for other in true) for at in told)


def _through(lived: Lived, ahead: int, planned: DayPlan) -> None:
    family = lived.family
    day = FIRST + timedelta(days=ahead)
    shape = family.shape_of_day(ahead)
    weekend = day.weekday() >= 5
    for prompt in planned.prompts:
        minute = prompt.at.hour * 60 + prompt.at.minute
        chance = random.Random(f"{family.seed}/{ahead}/{minute // 20}")
        asleep = not awake_at(shape, minute)
        feeding = any(start + 5 <= minute < start + 20 for start, _ in shape)
        what, delay = _answer(family, ahead, prompt.at.hour in family.busy[weekend], asleep, feeding, chance)
        answered = None if delay is None else prompt.at + timedelta(minutes=delay)
        entry = Heard(what, prompt.at, answered)
        lived.heard.append(entry)
        done = prompt.minutes if what == "done" else 0
        lived.log.append(replace(prompt.as_done(), minutes=done))
        lived.rows.append((ahead, minute, asleep or feeding, entry.taken_up, done))
    if ahead not in family.silent:
        for heard in _unasked(family, ahead, shape):
            lived.heard.append(heard)


def _answer(
    family: Family, ahead: int, busy: bool, asleep: bool, feeding: bool, chance: random.Random
) -> tuple[Outcome, int | None]:
    roll, reach, quick = chance.random(), chance.random(), chance.randrange(0, 25)
    if ahead in family.silent or (busy and reach < (0.5 if family.second_carer else 0.9)):
        return "no_answer", None
    if asleep:
        return ("asleep", quick) if family.taps and roll < 0.8 else ("no_answer", None)
    if feeding:
        return ("later", quick) if roll < 0.3 else ("no_answer", None)
    if roll < 0.8:
        return "done", quick
    if roll < 0.86:
        return "done", quick + 60
    return ("refused", quick) if roll < 0.92 else ("later", quick) if roll < 0.96 else ("no_answer", None)


def _unasked(family: Family, ahead: int, shape: Shape) -> Iterator[Heard]:
    chance = random.Random(f"told {family.seed}/{ahead}")
    day = FIRST + timedelta(days=ahead)

    def at(minute: int) -> datetime:
        return instant_for(day, max(0, min(minute, 1439)), ZONE).astimezone(ZONE)

    for (_, asleep), (awake, _) in pairwise(shape):
        if family.taps and chance.random() < 0.2:
            yield Heard("told_asleep", at(asleep + chance.randrange(0, 15)))
        if chance.random() < 0.15:
            yield Heard("told_awake", at(awake + chance.randrange(0, 15)))
    for start, end in shape:
        if end - start > 20 and chance.random() < 0.15:
            yield Heard("session", at(chance.randrange(start, end - 10)))
        if chance.random() < 0.05:
            yield Heard("told_feed", at(start + 5))


@dataclass(frozen=True, slots=True)
class Figures:
    """Shares are of prompts; measured from the 11th day."""

    ill_timed: float
    taken_up: float
    minutes_a_day: float
    wrong_minutes: float
    gap: float
    suggestions_a_week: float
    turned_down: float


def figures(lived: Sequence[Lived]) -> Figures:
    """Return the measures of one arm."""
    rows = [row for each in lived for row in each.rows if row[0] >= MEASURED_FROM]
    gaps = []
    for each in lived:
        late = [row for row in each.rows if row[0] >= MEASURED_FROM]
        gaps += [b[1] - a[1] for a, b in pairwise(late) if a[0] == b[0]]
    asked = sum(len(each.suggestions) for each in lived)
    refused = sum(len(each.refused) for each in lived)
    days = len(lived) * (DAYS - MEASURED_FROM)
    return Figures(
        ill_timed=sum(row[2] for row in rows) / len(rows),
        taken_up=sum(row[3] for row in rows) / len(rows),
        minutes_a_day=sum(row[4] for row in rows) / days,
        wrong_minutes=sum(wrong_minutes(each.plan.awake, each.family.shape(DAYS - 1)) for each in lived)
        / len(lived),
        gap=median(gaps),
        suggestions_a_week=asked / len(lived) / (DAYS / 7),
        turned_down=refused / asked if asked else 0.0,
    )
