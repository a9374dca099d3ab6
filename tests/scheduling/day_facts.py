"""A case's day, read from its JSON by the letter of the rules and with python-dateutil, with none of the planner's code.

The solver and the checker of hard rules stand on it. It asks each rule of each minute, however slow that is.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from dateutil import tz

MINUTE = timedelta(minutes=1)


def instant(day: date, clock: str, zone: str) -> datetime:
    """Return the UTC instant of a local time, by dateutil: a skipped time takes the offset before the gap."""
    ahead, hour, minute = (1, 0, 0) if clock == "24:00" else (0, int(clock[:2]), int(clock[3:]))
    on = day + timedelta(days=ahead)
    local = datetime(on.year, on.month, on.day, hour, minute, tzinfo=tz.gettz(zone))
    if not tz.datetime_exists(local):
        earlier = local - timedelta(hours=3)
        offset = earlier.utcoffset()
        assert offset is not None
        return (local.replace(tzinfo=None) - offset).replace(tzinfo=UTC)
    return tz.enfold(local, fold=0).astimezone(UTC)


class DayFacts:
    """The day of a case as plain minutes since its beginning, for the solver and for the checker of rules."""

    def __init__(self, case: dict[str, Any]) -> None:
        plan = self.plan = case["plan"]
        self.day = date.fromisoformat(case["date"])
        self.zone = plan["time_zone"]
        self.begin = instant(self.day, "00:00", self.zone)
        self.awake = [(self.at(start), self.at(end)) for start, end in plan["awake"]]
        days = (-1, 0, 1)
        self.feeds = sorted({self.at(feed, ahead) for feed in plan.get("feeds", []) for ahead in days})
        quiet = plan.get("quiet")
        self.quiet = (
            [(self.at(quiet[0], n), self.at(quiet[1], n + (quiet[0] > quiet[1]))) for n in days]
            if quiet
            else []
        )
        self.gap = plan.get("shortest_gap", 30)
        self.earliest = max(self.at(case[key]) if case.get(key) else 0 for key in ("from", "asleep_until"))
        known = {activity["activity"] for activity in plan["activities"]}
        self.log = [entry for entry in case.get("log") or [] if entry["activity"] in known]
        self.sent_today = sum(entry["prompted"] for entry in self.log if self.date_of(entry) == self.day)
        self.prompts = max(0, plan.get("most_prompts", 6) - self.sent_today)

    def at(self, clock: str, ahead: int = 0) -> int:
        return (instant(self.day + timedelta(days=ahead), clock, self.zone) - self.begin) // MINUTE

    def minute_of(self, entry: dict[str, Any]) -> float | None:
        if len(entry["at"]) == 10:
            return None
        return (datetime.fromisoformat(entry["at"]) - self.begin) / MINUTE

    def date_of(self, entry: dict[str, Any]) -> date:
        if len(entry["at"]) == 10:
            return date.fromisoformat(entry["at"])
        return datetime.fromisoformat(entry["at"]).astimezone(tz.gettz(self.zone)).date()

    def held(self, activity: dict[str, Any]) -> bool:
        day = self.day.isoformat()
        return day < (activity.get("from") or "0000") or day > (activity.get("until") or "9999")

    def demands(self) -> list[tuple[dict[str, Any], list[dict[str, Any]]]]:
        """Return every target of the day (an activity or a goal) with the activities that count toward it, none held."""
        activities = [each for each in self.plan["activities"] if not self.held(each)]
        own = [(each, [each]) for each in activities if each.get("target")]
        shared = [
            (goal, [each for each in activities if each["activity"] in goal["activities"]])
            for goal in self.plan.get("goals", [])
        ]
        return own + [(goal, members) for goal, members in shared if members]

    def target(self, demand: dict[str, Any]) -> float:
        """Return what an activity's own target or a goal's asks of the day: minutes, or sessions."""
        target = demand["target"]
        if "minutes" in target:
            return float(target["minutes"])
        if "times" in target:
            return float(target["times"])
        awake = sum(max(0, end - start) for start, end in self.awake)
        return int(target["share_of_awake"] * awake + 0.5 + 1e-9)

    def minutes_logged(self, activity: dict[str, Any], day: date) -> float:
        """Return the minutes of one date; a session without minutes counts the least of one."""
        return sum(self.sessions_logged(activity, day))

    def sessions_logged(self, activity: dict[str, Any], day: date) -> list[float]:
        """Return the minutes of each session that was done on one date."""
        mine = [entry for entry in self.log if entry["activity"] == activity["activity"]]
        least = activity["session"][0]
        done = [least if e["minutes"] is None else e["minutes"] for e in mine if self.date_of(e) == day]
        return [minutes for minutes in done if minutes > 0]

    def logged(self, demand: dict[str, Any], members: list[dict[str, Any]]) -> float:
        if "times" in demand["target"]:
            return float(sum(len(self.sessions_logged(each, self.day)) for each in members))
        return float(sum(self.minutes_logged(each, self.day) for each in members))

    def lasted(self, entry: dict[str, Any]) -> float:
        """Return how long a logged session held the baby: the least of one where nobody told."""
        if entry["minutes"] is None:
            mine = next(a for a in self.plan["activities"] if a["activity"] == entry["activity"])
            return float(mine["session"][0])
        return float(entry["minutes"])

    def longest(self, activity: dict[str, Any], start: int) -> int:
        """Return the longest session that the hard rules allow at `start`, other new prompts apart; 0 for none."""
        end = max((stop for begin, stop in self.awake if begin <= start < stop), default=0)
        if start < self.earliest:
            return 0
        for quiet_from, quiet_to in self.quiet:
            if quiet_from <= start < quiet_to:
                return 0
            if start < quiet_from:
                end = min(end, quiet_from)
        for feed in self.feeds:
            if feed <= start < feed + activity.get("after_feed", 0):
                return 0
            if feed > start:
                end = min(end, feed - activity.get("before_feed", 0))
        moments = activity.get("moments")
        if moments is not None:
            times = {
                self.at(clock) for name in moments for clock in self.plan.get("moments", {}).get(name, [])
            }
            if start not in times:
                return 0
        for entry in self.log:
            at = self.minute_of(entry)
            if at is None:
                continue
            lasted = self.lasted(entry)
            apart = self.gap if entry["prompted"] else 0
            if entry["activity"] == activity["activity"]:
                apart = max(apart, activity.get("own_gap", 0))
            if abs(start - at) < apart or (at <= start < at + lasted):
                return 0
            if start < at and lasted > 0:
                end = min(end, int(at // 1))
        length = min(end - start, activity["session"][1])
        return length if length >= activity["session"][0] else 0


def shortfall(facts: DayFacts, sessions: dict[str, list[int]]) -> float:
    """Return the weighted shortfall of a day with these planned sessions: minutes of each, by activity."""
    total = 0.0
    for demand, members in facts.demands():
        target = facts.target(demand)
        if target:
            planned = sum(amounts(demand, sessions.get(each["activity"], [])) for each in members)
            missing = target - facts.logged(demand, members) - planned
            total += demand.get("weight", 1) * max(0.0, missing) / target
    return total


def amounts(demand: dict[str, Any], sessions: list[int]) -> int:
    """Return what sessions give a target: their number where it counts times, their minutes else."""
    return len(sessions) if "times" in demand["target"] else sum(sessions)
