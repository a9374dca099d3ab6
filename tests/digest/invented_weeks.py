"""Invented families and weeks for the digest's tests and benchmark. Nobody in them exists."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.digest.due import Due
from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    DayFacts,
    FamilyFacts,
    NoteFact,
    ObservationFact,
    PlanChangeFact,
    PreviousFacts,
    PromptFact,
    PromptState,
    QuestionFact,
    SessionFact,
    SkipFact,
    UnreadFact,
)

ZONE = "America/Chicago"
MONDAY = date(2026, 3, 2)
DUE = (
    Due("tummy_time", 40.0),
    Due("lap_tummy_time", 15.0),
    Due("football_hold", 20.0, 0.5),
    Due("side_lying", 15.0, 2 / 3),
    Due("hand_to_mouth", 10.0, 0.0),
)
NAMES = {
    "tummy_time": "Tummy time",
    "lap_tummy_time": "Lap tummy time",
    "football_hold": "Football hold",
    "side_lying": "Side lying",
    "hand_to_mouth": "Hand to mouth",
}
NICKNAMES = ("Pip", "Olive", "Juno", "Wren", "Teo", "Mika", "Sol", "Bean", "Indie", "Nico")


def name_of(activity: str) -> str:
    return NAMES.get(activity, activity.replace("_", " ").capitalize())


def at(day: date, hour: float, zone: str = ZONE) -> datetime:
    whole = int(hour)
    local = datetime(day.year, day.month, day.day, whole, int((hour - whole) * 60), tzinfo=ZoneInfo(zone))
    return local.astimezone(UTC)


def week_of(first: date = MONDAY, **day: Any) -> tuple[DayFacts, ...]:
    shape: dict[str, Any] = {"awake_minutes": 560.0, "due": DUE} | day
    return tuple(DayFacts(first + timedelta(days=n), **shape) for n in range(7))


def session(
    activity: str = "tummy_time",
    minutes: float | None = 10.0,
    *,
    side: Any = None,
    day: int = 0,
    hour: float = 9.0,
    carer: str = "Mum",
    first: date = MONDAY,
    id: str = "s1",
) -> SessionFact:
    when = first + timedelta(days=day)
    return SessionFact(id, activity, minutes, side, when, at(when, hour), carer, (f"m-{id}",))


def facts(**changes: Any) -> FamilyFacts:
    """Return a quiet week of one family: a plan, and nothing told. Changes name fields of FamilyFacts."""
    fields: dict[str, Any] = {
        "family": "f1",
        "nickname": "Pip",
        "time_zone": ZONE,
        "affected_side": "right",
        "born": date(2025, 12, 1),
        "gestation_weeks": 39,
        "days": week_of(),
        "as_of": at(MONDAY + timedelta(days=6), 23.5),
        "carers": ("Mum", "Grandpa"),
    }
    return FamilyFacts(**(fields | changes))


def lively_facts(seed: int = 1, **changes: Any) -> FamilyFacts:
    """Return an invented full week, the same for the same seed."""
    chance = random.Random(seed)
    week, before = MONDAY, MONDAY - timedelta(days=7)
    silent = frozenset(chance.sample(range(7), chance.choice((0, 0, 1, 2, 4))))
    pull = chance.choice((0.4, 0.9, 1.2))
    sessions = _sessions(chance, week, silent, pull)
    observed = _observations(chance, week, silent)
    carers = ("Mum", "Dad", "Grandma")
    spoken = [day for day in range(7) if day not in silent]
    when = [at(week + timedelta(days=chance.choice(spoken)), chance.uniform(7, 20)) for _ in range(4)]
    fields: dict[str, Any] = {
        "family": f"f{seed}",
        "nickname": NICKNAMES[seed % len(NICKNAMES)],
        "affected_side": chance.choice(("left", "right")),
        "born": week - timedelta(weeks=chance.randint(6, 40)),
        "gestation_weeks": chance.choice((33, 38, 39, 40)),
        "days_with_word": frozenset(week + timedelta(days=day) for day in spoken),
        "sessions": sessions,
        "prompts": tuple(
            PromptFact("tummy_time", None, week + timedelta(days=n % 7), chance.choice(_FATES))
            for n in range(30)
        ),
        "skips": tuple(
            SkipFact(chance.choice(("asleep", "no_time", "unwell")), "tummy_time", week, when[0], "Mum")
            for _ in range(chance.randint(0, 4))
        ),
        "observations": observed,
        "confidence": (
            ConfidenceFact("football_hold", 5.0, at(before, 10), "Mum"),
            ConfidenceFact("football_hold", float(chance.randint(4, 9)), when[0], "Mum"),
            ConfidenceFact("tummy_time", 8.0, when[1], "Dad"),
        ),
        "concerns": (
            ConcernFact(
                when[0], "Mum", "tell_therapist", "she only ever looks at the window side & hates the mat"
            ),
            *(
                (ConcernFact(when[1], "Grandma", "same_day", "cries when I touch her arm <since noon>"),)
                if seed % 4 == 0
                else ()
            ),
        ),
        "questions": (QuestionFact(when[2], "Dad", "is it ok to do the hold right after a feed?"),),
        "unread": (UnreadFact(when[3], "Grandma", "the blue one was better than the other"),),
        "carers": carers,
        "plan_changes": (PlanChangeFact(at(week, 12), 3, "Side lying 10 to 15 minutes"),),
        "notes": (NoteFact(at(week, 12), "Visit on Thursday moved to the morning"),),
        "previous": PreviousFacts(
            days=week_of(before),
            days_with_word=frozenset(before + timedelta(days=n) for n in range(7)),
            sessions=_sessions(chance, before, frozenset(), 0.9),
            observations=_observations(chance, before, frozenset({2, 5})),
        ),
    }
    return facts(**(fields | changes))


_FATES: tuple[PromptState, ...] = ("answered", "answered", "answered", "skipped", "expired", "later", "sent")


def _sessions(
    chance: random.Random, first: date, silent: frozenset[int], pull: float
) -> tuple[SessionFact, ...]:
    made: list[SessionFact] = []
    for day in sorted(set(range(7)) - silent):
        for due in DUE:
            left = due.left_share
            for part in range(chance.randint(0, 3)):
                side = None if left is None else "left" if chance.random() < left else "right"
                minutes = float(max(1, round((due.minutes or 0) * pull / 2 * chance.uniform(0.5, 1.5))))
                made.append(
                    session(
                        due.activity,
                        minutes,
                        side=side,
                        day=day,
                        hour=8 + 4 * part + chance.random(),
                        carer=chance.choice(("Mum", "Mum", "Dad")),
                        first=first,
                        id=f"{first.isoformat()}-{len(made)}",
                    )
                )
    return tuple(made)


def _observations(chance: random.Random, first: date, silent: frozenset[int]) -> tuple[ObservationFact, ...]:
    kinds = (
        ("head_turn", "right"), ("head_turn", "left"), ("head_lift", None), ("hand_to_mouth", "right"),
        ("tolerated_well", None), ("tolerated_poorly", None), ("fell_asleep", None),
    )  # fmt: skip
    days = sorted(set(range(7)) - silent)
    return tuple(
        ObservationFact(kind, side, when, at(when, 10), "Mum", (f"o-{first}-{n}",))  # type: ignore[arg-type]
        for n in range(12)
        for kind, side in (chance.choice(kinds),)
        for when in (first + timedelta(days=chance.choice(days)),)
    )
