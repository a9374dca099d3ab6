"""Plans to test with, by hypothesis and by hand. Invented."""

from __future__ import annotations

from random import Random
from typing import Any

from hypothesis import strategies as st

from tests.outside.day_cases import random_case, with_log

BABY = {"nickname": "Pip", "born": "2026-01-05", "gestation_weeks": 39, "affected_side": "right"}


def activity(
    name: str = "reach", minutes: float = 20, session: tuple[int, int] = (3, 10), **rest: Any
) -> dict[str, Any]:
    return {"activity": name, "target": {"minutes": minutes}, "session": list(session), **rest}


def document(*activities: dict[str, Any], **rest: Any) -> dict[str, Any]:
    """Return a plan document: awake 07:00 to 19:00, no feeds, six prompts, unless `rest` says otherwise."""
    return {
        "baby": BABY,
        "time_zone": "Europe/Dublin",
        "awake": [["07:00", "19:00"]],
        "activities": list(activities),
        **rest,
    }


def case(plan: dict[str, Any], date: str = "2026-03-04", **rest: Any) -> dict[str, Any]:
    return {"plan": plan, "date": date, **rest}


@st.composite
def cases(
    draw: st.DrawFn,
    sizes: tuple[str, ...] = ("small", "middle", "tight"),
    logged: bool | None = None,
    *,
    goals: bool = False,
) -> dict[str, Any]:
    """Draw a random case; logged: with a log and hours of the day, or without. goals: some have goals."""
    random = Random(draw(st.integers(0, 10**9)))
    made = random_case(random, draw(st.sampled_from(sizes)), goals=goals and draw(st.booleans()))
    return with_log(random, made) if (draw(st.booleans()) if logged is None else logged) else made
