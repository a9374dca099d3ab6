"""Random days: plans that families could have, and stranger ones. Invented from a seed, nothing recorded."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

MOMENTS = ("nappy", "dressing", "bath", "play", "carry", "bedtime")


def clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def random_case(random: Random, size: str = "small", *, goals: bool = False) -> dict[str, Any]:
    """Return one case ("plan", "date"). goals: with goals, targets of times and early activities. size: small, middle, large, tight (long sessions in a short day), crowded (12 activities, 24 prompts)
    or night (awake about midnight, some on a day that a clock change makes shorter or longer)."""
    if size == "tight":
        return _tight_case(random)
    if size == "night":
        return _night_case(random)
    if size == "crowded":
        return _crowded_case(random, goals)
    most = {"small": 3, "middle": 6, "large": 12}[size]
    spans, at = [], random.randrange(300, 500)
    for _ in range(random.randint(1, {"small": 3, "middle": 5, "large": 7}[size])):
        end = min(at + random.randrange(30, 181), 1440)
        if end - at >= 20:
            spans.append([clock(at), "24:00" if end == 1440 else clock(end)])
        at = end + random.randrange(0, 120)
        if at >= 1380:
            break
    feeds = sorted(clock(random.randrange(0, 1440, 5)) for _ in range(random.randint(0, 7)))
    moments = {
        name: sorted(clock(random.randrange(400, 1260, 5)) for _ in range(random.randint(1, 5)))
        for name in MOMENTS
        if random.random() < 0.6
    }
    plan: dict[str, Any] = {
        "baby": {"nickname": "Pip", "born": "2026-01-05", "gestation_weeks": 39, "affected_side": "right"},
        "time_zone": random.choice(["Europe/Dublin", "America/Halifax", "Asia/Kolkata"]),
        "awake": spans,
        "feeds": feeds,
        "moments": moments,
        "most_prompts": random.choice([1, 2, 3, 4, 6, 6, 8] if size == "small" else [3, 5, 6, 8, 12, 24]),
        "shortest_gap": random.choice([0, 10, 15, 30, 30, 45, 60, 90]),
        "activities": [_activity(random, n) for n in range(random.randint(1, most))],
    }
    if goals:
        _with_goals(random, plan)
    if random.random() < 0.5:
        plan["quiet"] = [clock(random.randrange(1080, 1300)), clock(random.randrange(300, 480))]
    case: dict[str, Any] = {
        "plan": plan,
        "date": f"2026-{random.randint(1, 12):02d}-{random.randint(1, 28):02d}",
    }
    return case


def _with_goals(random: Random, plan: dict[str, Any]) -> None:
    activities = plan["activities"]
    for activity in activities:
        if random.random() < 0.25:
            activity["target"] = {"times": random.randint(1, 6)}
        if random.random() < 0.4:
            activity["when"] = "early"
    names = [activity["activity"] for activity in activities]
    plan["goals"] = [
        {
            "goal": f"g{n}",
            "activities": random.sample(names, random.randint(1, len(names))),
            "target": random.choice(
                [
                    {"minutes": random.randrange(10, 120)},
                    {"share_of_awake": 0.3},
                    {"times": random.randint(2, 8)},
                ]
            ),
            "weight": random.choice([1, 1, 2, 0.5, 0]),
        }
        for n in range(random.randint(1, 3))
    ]
    held = {name for goal in plan["goals"] for name in goal["activities"]}
    for activity in activities:
        if activity["activity"] in held and random.random() < 0.4:
            del activity["target"]


def _activity(random: Random, number: int) -> dict[str, Any]:
    least = random.choice([1, 2, 3, 5, 5, 10])
    activity: dict[str, Any] = {
        "activity": f"a{number}",
        "target": {"share_of_awake": random.choice([0.1, 0.25, 0.5])}
        if random.random() < 0.2
        else {"minutes": random.randrange(5, 75)},
        "session": [least, least + random.choice([0, 2, 5, 10, 15, 30])],
        "weight": random.choice([1, 1, 1, 2, 3, 0.5]),
        "side": random.choice(["none", "alternate", "affected", {"affected": 2, "unaffected": 1}]),
    }
    if random.random() < 0.4:
        activity["after_feed"] = random.choice([10, 20, 30, 60])
    if random.random() < 0.3:
        activity["before_feed"] = random.choice([5, 10, 20, 45])
    if random.random() < 0.4:
        activity["own_gap"] = random.choice([30, 60, 90, 120, 240])
    if random.random() < 0.3:
        activity["moments"] = random.sample(MOMENTS, random.randint(1, 3))
    return activity


def _tight_case(random: Random) -> dict[str, Any]:
    case = random_case(random, "small")
    at = random.randrange(400, 500)
    spans = []
    for _ in range(random.randint(1, 3)):
        length = random.randrange(25, 75)
        spans.append([clock(at), clock(at + length)])
        at += length + random.randrange(30, 120)
    plan = case["plan"]
    plan.pop("quiet", None)
    plan |= {
        "awake": spans,
        "shortest_gap": random.choice([0, 5, 10, 15, 20, 30]),
        "most_prompts": random.randint(3, 9),
    }
    for activity in plan["activities"]:
        least = random.randrange(1, 15)
        activity["session"] = [least, least + random.randrange(5, 40)]
    return case


def _crowded_case(random: Random, goals: bool) -> dict[str, Any]:
    case = random_case(random, "large")
    case["plan"] |= {
        "activities": [_activity(random, number) for number in range(12)],
        "most_prompts": 24,
        "shortest_gap": random.choice([0, 10, 15, 20, 30]),
    }
    if goals:
        _with_goals(random, case["plan"])
    return case


CLOCK_CHANGES = {
    "Europe/Dublin": ("2026-03-29", "2026-10-25"),
    "America/Halifax": ("2026-03-08", "2026-11-01"),
    "Australia/Lord_Howe": ("2026-04-05", "2026-10-04"),
    "America/Santiago": ("2026-04-04", "2026-09-06"),
    "Asia/Beirut": ("2026-03-29", "2026-10-24"),
}
"""Dates of 2026 whose clocks change: by half an hour in Lord Howe, at midnight in Santiago and Beirut."""


def _night_case(random: Random) -> dict[str, Any]:
    case = random_case(random, "small")
    morning = sorted(random.sample(range(0, 360, 15), 4))
    evening = random.choice([[["22:00", "24:00"]], [["23:10", "23:50"]], []])
    plan = case["plan"]
    plan.pop("quiet", None)
    if random.random() < 0.3:
        plan["quiet"] = [clock(random.randrange(1320, 1440, 5)), clock(random.randrange(0, 180, 5))]
    plan |= {
        "time_zone": random.choice(list(CLOCK_CHANGES)),
        "awake": [[clock(a), clock(b)] for a, b in (morning[:2], morning[2:])] + evening,
        "feeds": [
            clock(random.choice([random.randrange(0, 240, 5), random.randrange(1380, 1440, 5)]))
            for _ in range(3)
        ],
        "moments": {"nappy": [clock(random.randrange(0, 300, 5)) for _ in range(3)]},
    }
    if random.random() < 0.7:
        case["date"] = random.choice(CLOCK_CHANGES[plan["time_zone"]])
    return case


def with_log(random: Random, case: dict[str, Any]) -> dict[str, Any]:
    """Return the case in the middle of its day, with a log of some days (stray activities and bare dates among it)."""
    day = date.fromisoformat(case["date"])
    zone = ZoneInfo(case["plan"]["time_zone"])
    names = [activity["activity"] for activity in case["plan"]["activities"]] + ["not_in_plan"]
    unknown = [None] if case["plan"].get("goals") else []
    log = []
    for _ in range(random.randint(0, 8)):
        ahead = random.choice([-2, -1, -1, 0, 0, 0, 0])
        at = datetime.combine(
            day + timedelta(days=ahead), time(random.randrange(24), random.randrange(60)), zone
        )
        log.append(
            {
                "activity": random.choice(names),
                "minutes": random.choice([0, 0, 3, 5, 7.5, 12, 20, *unknown]),
                "side": random.choice(["left", "right", None]),
                "at": at.date().isoformat() if random.random() < 0.2 else at.isoformat(),
                "prompted": random.random() < 0.5,
            }
        )
    case = case | {"log": log}
    if random.random() < 0.6:
        case["from"] = clock(random.randrange(300, 1200))
    if random.random() < 0.3:
        case["asleep_until"] = clock(random.randrange(300, 1200))
    return case
