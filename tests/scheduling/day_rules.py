"""The hard rules of a day, checked on an answer as anyone receives it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from tests.scheduling.day_facts import MINUTE, DayFacts, amounts


def broken_rules(case: dict[str, Any], answered: dict[str, Any]) -> list[str]:
    """Return what the first day of an answer breaks; empty where it keeps every hard rule."""
    facts = DayFacts(case)
    activities = {activity["activity"]: activity for activity in facts.plan["activities"]}
    broken: list[str] = []
    sessions = []
    for prompt in answered["prompts"]:
        at = datetime.fromisoformat(prompt["at"])
        if at != datetime.fromisoformat(prompt["at_utc"]):
            broken.append(f"{at}: at and at_utc are two instants")
        start = (at - facts.begin) / MINUTE
        if start != int(start):
            broken.append(f"{at}: not on a whole minute")
        sessions.append((int(start), prompt["minutes"], activities[prompt["activity"]], prompt))
    if sessions != sorted(sessions, key=lambda session: session[0]):
        broken.append("prompts are not in order")
    if len(sessions) > facts.prompts:
        broken.append(f"{len(sessions)} prompts, {facts.prompts} allowed")
    for start, minutes, activity, prompt in sessions:
        name = activity["activity"]
        if facts.held(activity):
            broken.append(f"{name} is held")
        if not activity["session"][0] <= minutes <= activity["session"][1]:
            broken.append(f"{name}: {minutes} minutes")
        if minutes > facts.longest(activity, start):
            broken.append(
                f"{name} at {start}: {minutes} minutes, at most {facts.longest(activity, start)} there"
            )
        broken += _side_and_moment(facts, activity, prompt, start)
    for (start, minutes, activity, _), (later, _, other, _) in _pairs(sessions):
        apart = max(facts.gap, minutes)
        if activity["activity"] == other["activity"]:
            apart = max(apart, activity.get("own_gap", 0))
        if later - start < apart:
            broken.append(f"{later - start} minutes from {activity['activity']} at {start}, {apart} needed")
    return broken + _rows(facts, answered)


def _pairs(sessions: list[Any]) -> list[tuple[Any, Any]]:
    return [(first, second) for place, first in enumerate(sessions) for second in sessions[place + 1 :]]


def _side_and_moment(
    facts: DayFacts, activity: dict[str, Any], prompt: dict[str, Any], start: int
) -> list[str]:
    broken = []
    rule, affected = activity.get("side", "none"), facts.plan["baby"]["affected_side"]
    other = {"left": "right", "right": "left"}.get(affected)
    allowed = {"none": {None}, "affected": {affected}, "unaffected": {other}}.get(
        str(rule), {"left", "right"}
    )
    if prompt["side"] not in allowed:
        broken.append(f"{activity['activity']}: side {prompt['side']}")
    moment = prompt["moment"]
    if (moment is None) != (activity.get("moments") is None):
        broken.append(f"{activity['activity']}: moment {moment}")
    if moment is not None and start not in {facts.at(clock) for clock in facts.plan["moments"][moment]}:
        broken.append(f"{activity['activity']}: no {moment} at {start}")
    return broken


def _rows(facts: DayFacts, answered: dict[str, Any]) -> list[str]:
    broken = []
    shown = [row["activity"] for row in answered["targets"]] + [row["goal"] for row in answered["goals"]]
    demands = facts.demands()
    due = [demand.get("goal") or demand["activity"] for demand, _ in demands]
    if shown != due:
        return [f"rows for {shown}, due {due}"]
    spare: dict[str, list[float]] = {}
    for row, (demand, members) in zip(answered["targets"] + answered["goals"], demands, strict=True):
        names = [each["activity"] for each in members]
        own = [prompt["minutes"] for prompt in answered["prompts"] if prompt["activity"] in names]
        planned = amounts(demand, own)
        missing = max(0, facts.target(demand) - facts.logged(demand, members))
        expected = (facts.target(demand), facts.logged(demand, members), planned, max(0, missing - planned))
        given = tuple(row[name] for name in ("target", "logged", "planned", "short"))
        if any(abs(a - b) > 1e-4 for a, b in zip(expected, given, strict=True)):
            broken.append(f"{names}: row {given}, expected {expected}")
        if (row["why"] is None) != (row["short"] == 0):
            broken.append(f"{names}: short {row['short']}, why {row['why']}")
        if "times" not in demand["target"]:
            for name in names:
                spare.setdefault(name, []).append(planned - missing)
    for prompt in answered["prompts"]:
        activity = next(a for a in facts.plan["activities"] if a["activity"] == prompt["activity"])
        over = min(spare.get(prompt["activity"], [0]))
        if over >= 1 and prompt["minutes"] > activity["session"][0]:
            broken.append(f"{prompt['activity']}: {prompt['minutes']} minutes, {over} more than are missing")
    return broken
