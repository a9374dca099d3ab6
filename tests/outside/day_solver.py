"""The least shortfall of a day, by Google OR-Tools' CP-SAT (https://developers.google.com/optimization/cp/cp_solver).

Written from the description of the rules, minute by minute, with none of the planner's own code: which starts and
lengths a rule allows is asked of every single minute, so that nothing depends on how the planner cuts a day up.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

from tests.scheduling.day_facts import DayFacts, shortfall

SCALE = 10**10


@dataclass(frozen=True, slots=True)
class Solved:
    """shortfall: of the best plan found. bound: below which none can come. prompts: how many the plan has."""

    shortfall: float
    bound: float
    proved: bool
    prompts: int


def least_shortfall(case: dict[str, Any], seconds: float = 10) -> tuple[float, bool]:
    """Return the least weighted shortfall that the rules allow, and whether the solver proved it the least."""
    found = solved(case, seconds)
    return found.shortfall, found.proved


def solved(case: dict[str, Any], seconds: float, workers: int = 1) -> Solved:
    facts = DayFacts(case)
    model = cp_model.CpModel()
    every_interval: list[Any] = []
    demands = [(d, members) for d, members in facts.demands() if facts.target(d)]
    sessions: dict[str, list[tuple[Any, Any]]] = {}
    for activity in facts.plan["activities"]:
        missing = [
            (demand, facts.target(demand) - facts.logged(demand, members))
            for demand, members in demands
            if activity in members
        ]
        asked = [(demand, amount) for demand, amount in missing if amount > 0]
        if asked and not facts.held(activity):
            most = max(
                ceil(amount / (1 if "times" in demand["target"] else activity["session"][0]))
                for demand, amount in asked
            )
            sessions[activity["activity"]] = _sessions(model, facts, activity, most, every_interval)
    worth = [
        _worth(model, facts, demand, members, sessions)
        for demand, members in demands
        if facts.target(demand) > facts.logged(demand, members)
    ]
    model.add_no_overlap(every_interval)
    model.add(sum(present for own in sessions.values() for _, present in own) <= facts.prompts)
    if not worth:
        return Solved(shortfall(facts, {}), shortfall(facts, {}), True, 0)
    model.maximize(sum(worth))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(shortfall(facts, {}), 0.0, False, 0)
    planned = {
        name: [solver.value(counted) for counted, present in own if solver.value(present)]
        for name, own in sessions.items()
    }
    bound = max(0.0, shortfall(facts, {}) - solver.best_objective_bound / SCALE)
    prompts = sum(len(own) for own in planned.values())
    return Solved(shortfall(facts, planned), bound, status == cp_model.OPTIMAL, prompts)


def _sessions(
    model: cp_model.CpModel, facts: DayFacts, activity: dict[str, Any], most: int, every_interval: list[Any]
) -> list[tuple[Any, Any]]:
    """Return the sessions that one activity may have: (minutes, 0 where absent; whether present)."""
    runs = _runs(facts, activity)
    found, own, before = [], [], None
    for _ in range(min(facts.prompts, most) if runs else 0):
        start, length, present = _slot(model, runs, activity["session"])
        size = model.new_int_var(0, 3000, "")
        model.add_max_equality(size, [length, facts.gap])
        end = model.new_int_var(0, 9000, "")
        every_interval.append(model.new_optional_interval_var(start, size, end, present, ""))
        apart = max(activity.get("own_gap", 0), 1)
        own.append(model.new_optional_fixed_size_interval_var(start, apart, present, ""))
        counted = model.new_int_var(0, activity["session"][1], "")
        model.add(counted == length).only_enforce_if(present)
        model.add(counted == 0).only_enforce_if(~present)
        if before is not None:
            model.add_implication(present, before[1])
            model.add(before[0] < start).only_enforce_if(present)
        before = (start, present)
        found.append((counted, present))
    model.add_no_overlap(own)
    return found


def _worth(
    model: cp_model.CpModel,
    facts: DayFacts,
    demand: dict[str, Any],
    members: list[dict[str, Any]],
    sessions: dict[str, list[tuple[Any, Any]]],
) -> Any:
    """Return what the sessions of a target's activities take off the shortfall."""
    target = facts.target(demand)
    gained = model.new_int_var(0, round((target - facts.logged(demand, members)) * 1000), "")
    own = [each for member in members for each in sessions.get(member["activity"], [])]
    times = "times" in demand["target"]
    model.add(gained <= 1000 * sum(present if times else counted for counted, present in own))
    return gained * round(SCALE * demand.get("weight", 1) / target / 1000)


def _runs(facts: DayFacts, activity: dict[str, Any]) -> list[tuple[int, int, int]]:
    """Return (first, last, end): neighbouring starts whose longest session ends at one minute, or has one length."""
    last_minute = max((end for _, end in facts.awake), default=0)
    runs: list[tuple[int, int, int]] = []
    _least, most = activity["session"]
    for start in range(last_minute):
        length = facts.longest(activity, start)
        if not length:
            continue
        end = start + length
        if (
            runs
            and runs[-1][1] == start - 1
            and (end == runs[-1][2] or (length == most and runs[-1][2] < end))
        ):
            runs[-1] = (runs[-1][0], start, end)
        else:
            runs.append((start, start, end))
    return runs


def _slot(
    model: cp_model.CpModel, runs: list[tuple[int, int, int]], session: list[int]
) -> tuple[Any, Any, Any]:
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
