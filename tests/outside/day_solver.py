"""The least shortfall of a day, by Google OR-Tools' CP-SAT (https://developers.google.com/optimization/cp/cp_solver).

Written from the description of the rules, minute by minute, with none of the planner's own code: which starts and
lengths a rule allows is asked of every single minute, so that nothing depends on how the planner cuts a day up.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from math import ceil
from typing import Any

from dateutil import tz
from ortools.sat.python import cp_model

SCALE = 10**10
MINUTE = timedelta(minutes=1)


def instant(day: date, clock: str, zone: str) -> datetime:
    """Return the UTC instant of a local time, by dateutil: a skipped time takes the offset before the gap."""
    ahead, hour, minute = (1, 0, 0) if clock == "24:00" else (0, int(clock[:2]), int(clock[3:]))
    on = day + timedelta(days=ahead)
    local = datetime(on.year, on.month, on.day, hour, minute, tzinfo=tz.gettz(zone))
    if not tz.datetime_exists(local):
        earlier = local - timedelta(hours=3)
        return (local.replace(tzinfo=None) - earlier.utcoffset()).replace(tzinfo=UTC)
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
            [(self.at(quiet[0], n), self.at(quiet[1], n + (quiet[0] > quiet[1]))) for n in days] if quiet else []
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

    def target(self, activity: dict[str, Any]) -> float:
        target = activity["target"]
        if "minutes" in target:
            return target["minutes"]
        awake = sum(max(0, end - start) for start, end in self.awake)
        return int(target["share_of_awake"] * awake + 0.5 + 1e-9)

    def logged(self, activity: dict[str, Any]) -> float:
        return sum(
            entry["minutes"]
            for entry in self.log
            if entry["activity"] == activity["activity"] and self.date_of(entry) == self.day
        )

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
            times = {self.at(clock) for name in moments for clock in self.plan.get("moments", {}).get(name, [])}
            if start not in times:
                return 0
        for entry in self.log:
            at = self.minute_of(entry)
            if at is None:
                continue
            apart = self.gap if entry["prompted"] else 0
            if entry["activity"] == activity["activity"]:
                apart = max(apart, activity.get("own_gap", 0))
            if abs(start - at) < apart or (at <= start < at + entry["minutes"]):
                return 0
            if start < at and entry["minutes"] > 0:
                end = min(end, int(at // 1))
        length = min(end - start, activity["session"][1])
        return length if length >= activity["session"][0] else 0


def shortfall(facts: DayFacts, planned: dict[str, int]) -> float:
    """Return the weighted shortfall of a day with these planned minutes."""
    total = 0.0
    for activity in facts.plan["activities"]:
        target = facts.target(activity)
        if target and not facts.held(activity):
            missing = target - facts.logged(activity) - planned.get(activity["activity"], 0)
            total += activity.get("weight", 1) * max(0.0, missing) / target
    return total


def least_shortfall(case: dict[str, Any], seconds: float = 10) -> tuple[float, bool]:
    """Return the least weighted shortfall that the rules allow, and whether the solver proved it the least."""
    facts = DayFacts(case)
    model = cp_model.CpModel()
    every_interval, present_all, worth = [], [], []
    minutes: dict[str, Any] = {}
    for activity in facts.plan["activities"]:
        target = facts.target(activity)
        missing = target - facts.logged(activity)
        if facts.held(activity) or not target or missing <= 0:
            continue
        runs = _runs(facts, activity)
        slots = min(facts.prompts, ceil(missing / activity["session"][0])) if runs else 0
        own, lengths, before = [], [], None
        for _ in range(slots):
            start, length, present = _slot(model, runs, activity["session"])
            size = model.new_int_var(0, 3000, "")
            model.add_max_equality(size, [length, facts.gap])
            every_interval.append(model.new_optional_interval_var(start, size, model.new_int_var(0, 9000, ""), present, ""))
            apart = max(activity.get("own_gap", 0), 1)
            own.append(model.new_optional_fixed_size_interval_var(start, apart, present, ""))
            counted = model.new_int_var(0, activity["session"][1], "")
            model.add(counted == length).only_enforce_if(present)
            model.add(counted == 0).only_enforce_if(~present)
            if before is not None:
                model.add_implication(present, before[1])
                model.add(before[0] < start).only_enforce_if(present)
            before = (start, present)
            lengths.append(counted)
            present_all.append(present)
        model.add_no_overlap(own)
        thousandths = round(missing * 1000)
        gained = model.new_int_var(0, thousandths, "")
        model.add(gained <= 1000 * sum(lengths))
        minutes[activity["activity"]] = lengths
        worth.append(gained * round(SCALE * activity.get("weight", 1) / target / 1000))
    model.add_no_overlap(every_interval)
    model.add(sum(present_all) <= facts.prompts)
    model.maximize(sum(worth))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if not worth:
        return shortfall(facts, {}), True
    planned = {name: sum(solver.value(length) for length in lengths) for name, lengths in minutes.items()}
    return shortfall(facts, planned), status == cp_model.OPTIMAL


def _runs(facts: DayFacts, activity: dict[str, Any]) -> list[tuple[int, int, int]]:
    """Return (first, last, end): neighbouring starts whose longest session ends at one minute, or has one length."""
    last_minute = max((end for _, end in facts.awake), default=0)
    runs: list[tuple[int, int, int]] = []
    least, most = activity["session"]
    for start in range(last_minute):
        length = facts.longest(activity, start)
        if not length:
            continue
        end = start + length
        if runs and runs[-1][1] == start - 1 and (end == runs[-1][2] or (length == most and runs[-1][2] < end)):
            runs[-1] = (runs[-1][0], start, end)
        else:
            runs.append((start, start, end))
    return runs


def _slot(model: cp_model.CpModel, runs: list[tuple[int, int, int]], session: list[int]) -> tuple[Any, Any, Any]:
    starts = cp_model.Domain.from_intervals([[first, last] for first, last, _ in runs])
    start = model.new_int_var_from_domain(starts, "")
    length = model.new_int_var(session[0], session[1], "")
    present = model.new_bool_var("")
    chosen = []
    for first, last, end in runs:
        here = model.new_bool_var("")
        model.add_linear_constraint(start, first, last).only_enforce_if(here)
        model.add(start + length <= end).only_enforce_if(here)
        chosen.append(here)
    model.add_exactly_one(chosen)
    return start, length, present
