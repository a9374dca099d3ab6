"""Random days: plans that families could have, and stranger ones. Invented from a seed, nothing recorded."""

from __future__ import annotations

from random import Random
from typing import Any

MOMENTS = ("nappy", "dressing", "bath", "play", "carry", "bedtime")


def clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def random_case(random: Random, size: str = "small") -> dict[str, Any]:
    """Return one case ("plan", "date"). size: small, middle, large, or tight (long sessions in a short day)."""
    if size == "tight":
        return _tight_case(random)
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
    if random.random() < 0.5:
        plan["quiet"] = [clock(random.randrange(1080, 1300)), clock(random.randrange(300, 480))]
    case: dict[str, Any] = {"plan": plan, "date": f"2026-{random.randint(1, 12):02d}-{random.randint(1, 28):02d}"}
    return case


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
    plan |= {"awake": spans, "shortest_gap": random.choice([0, 5, 10, 15, 20, 30]), "most_prompts": random.randint(3, 9)}
    for activity in plan["activities"]:
        least = random.randrange(1, 15)
        activity["session"] = [least, least + random.randrange(5, 40)]
    return case
