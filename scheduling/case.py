"""One planning question and its answer as JSON values: {"plan", "date", "days", "log", "from", "asleep_until", "heard"} →
{"days": […]}.

Words are not ours to choose: the caller hands in what turns a reason into words.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import isfinite
from typing import Any
from zoneinfo import ZoneInfo

from scheduling.learned.document import heard_from
from scheduling.learned.heard import Heard
from scheduling.learned.places import plan_heard
from scheduling.learned.receptive import Receptive
from scheduling.localtime import instant_for
from scheduling.plan import Plan, Problem, plan_from
from scheduling.plan.document import minute_of
from scheduling.plan.problems import shown
from scheduling.planner import Because, DayPlan, LogEntry, Prompt, Why
from scheduling.reasons import Proof
from scheduling.rows import Target

FIELDS = ("plan", "date", "days", "log", "from", "asleep_until", "heard")
_YEARS = (1970, 2200)
_MOST_DAYS = 366
_CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]|24:00")


class CaseProblems(ValueError):
    """A case cannot be read. `problems` holds every problem outside the plan (the plan's own are PlanProblems)."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Wording:
    because: Callable[[Because], str]
    why: Callable[[Why], str]
    proof: Callable[[Proof], str | None] = lambda proof: None


@dataclass(frozen=True, slots=True)
class Case:
    """start_from, asleep_until: instants on the first day."""

    plan: Plan
    first: date
    days: int
    log: tuple[LogEntry, ...]
    start_from: datetime | None
    asleep_until: datetime | None
    heard: tuple[Heard, ...] = ()

    def answer(self, wording: Wording) -> dict[str, Any]:
        """Plan the days and return them as JSON values."""
        return {"days": [day_as_json(day, wording) for day in self.planned()]}

    def planned(self) -> list[DayPlan]:
        return plan_heard(
            self.plan,
            self.first,
            self.days,
            self.log,
            Receptive.of(self.heard, self.first, ZoneInfo(self.plan.time_zone)) if self.heard else None,
            start_from=self.start_from,
            asleep_until=self.asleep_until,
        )


def case_from(document: object) -> Case:
    """Return the case that parsed JSON holds.

    Raises:
        PlanProblems: the plan has problems.
        CaseProblems: anything else has.
    """
    if not isinstance(document, Mapping):
        raise CaseProblems((Problem("", f"{shown(document)} is no case: give an object with plan and date"),))
    reader = Reader()
    for name in document:
        near = difflib.get_close_matches(str(name), FIELDS, n=1)
        if name not in FIELDS and near:
            reader.wrong(str(name), f"is no field of a case; did you mean {near[0]}?")
    plan = plan_from(document.get("plan"))
    zone = ZoneInfo(plan.time_zone)
    first = reader.read_date("date", document.get("date"))
    days = document.get("days")
    days = 1 if days is None else days
    if type(days) is not int or not 1 <= days <= _MOST_DAYS:
        reader.wrong("days", f"{shown(days)} is not allowed: give a whole number from 1 to {_MOST_DAYS}")
    start_from = reader.read_clock("from", document.get("from"))
    asleep_until = reader.read_clock("asleep_until", document.get("asleep_until"))
    log = reader.read_log(document.get("log"))
    heard = heard_from(document.get("heard"), reader.wrong)
    if reader.problems or first is None:
        raise CaseProblems(tuple(reader.problems))
    return Case(
        plan,
        first,
        days,
        log,
        None if start_from is None else instant_for(first, start_from, zone),
        None if asleep_until is None else instant_for(first, asleep_until, zone),
        heard,
    )


class Reader:
    """Reads the fields of a case one by one and keeps what is wrong with them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def wrong(self, path: str, message: str) -> None:
        self.problems.append(Problem(path, message))

    def read_date(self, path: str, value: object) -> date | None:
        try:
            if isinstance(value, str) and len(value) == 10:
                found = date.fromisoformat(value)
                if _YEARS[0] <= found.year <= _YEARS[1]:
                    return found
        except ValueError:
            pass
        self.wrong(
            path, f"{shown(value)} is not allowed: give a date from {_YEARS[0]} to {_YEARS[1]}, as YYYY-MM-DD"
        )
        return None

    def read_clock(self, path: str, value: object) -> int | None:
        if value is None:
            return None
        if isinstance(value, str) and _CLOCK.fullmatch(value):
            return minute_of(value)
        self.wrong(path, f"{shown(value)} is not allowed: give a local time from 00:00 to 24:00, as HH:MM")
        return None

    def read_log(self, value: object) -> tuple[LogEntry, ...]:
        if value is None:
            return ()
        if not isinstance(value, list):
            self.wrong("log", f"{shown(value)} is not allowed: give a list of entries")
            return ()
        entries = (self.read_entry(f"log[{place}]", each) for place, each in enumerate(value))
        return tuple(entry for entry in entries if entry is not None)

    def read_entry(self, path: str, value: object) -> LogEntry | None:
        if not isinstance(value, Mapping):
            self.wrong(path, f"{shown(value)} is not allowed: give activity, minutes, side, at and prompted")
            return None
        before = len(self.problems)
        activity: Any = value.get("activity")
        minutes: Any = value.get("minutes")
        side: Any = value.get("side")
        prompted = value.get("prompted", False)
        if not isinstance(activity, str):
            self.wrong(f"{path}.activity", f"{shown(activity)} is not allowed: give an activity's id")
        if not (minutes is None or _is_minutes(minutes)):
            self.wrong(
                f"{path}.minutes", f"{shown(minutes)} is not allowed: give a number from 0 to 1440, or null"
            )
        if side not in ("left", "right", None):
            self.wrong(f"{path}.side", f"{shown(side)} is not allowed: give left, right or null")
        if not isinstance(prompted, bool):
            self.wrong(f"{path}.prompted", f"{shown(prompted)} is not allowed: give true or false")
        at = self.read_instant(f"{path}.at", value.get("at"))
        if len(self.problems) > before or at is None:
            return None
        return LogEntry(activity, minutes, side, at, prompted)

    def read_instant(self, path: str, value: object) -> datetime | date | None:
        if isinstance(value, str) and len(value) == 10:
            return self.read_date(path, value)
        try:
            found = datetime.fromisoformat(value) if isinstance(value, str) else None
        except ValueError:
            found = None
        if found is not None and found.tzinfo is not None and _YEARS[0] <= found.year <= _YEARS[1]:
            return found
        self.wrong(
            path, f"{shown(value)} is not allowed: give a local time with its offset, or a date (ISO 8601)"
        )
        return None


def _is_minutes(value: Any) -> bool:
    return type(value) in (int, float) and isfinite(value) and 0 <= value <= 1440


def day_as_json(day: DayPlan, wording: Wording) -> dict[str, Any]:
    """Return one planned day as JSON values."""
    return {
        "date": day.date.isoformat(),
        "prompts": [_prompt_as_json(prompt, wording) for prompt in day.prompts],
        "targets": [{"activity": row.name} | _target_as_json(row, wording) for row in day.targets],
        "goals": [{"goal": row.name} | _target_as_json(row, wording) for row in day.goals],
        "shortfall": {
            "planned": _number(day.short),
            "least": None if day.least is None else _number(day.least),
            "proof": wording.proof(day.proof),
        },
    }


def _prompt_as_json(prompt: Prompt, wording: Wording) -> dict[str, Any]:
    return {
        "at": prompt.at.isoformat(),
        "at_utc": prompt.at.astimezone(UTC).isoformat(),
        "activity": prompt.activity,
        "side": prompt.side,
        "minutes": prompt.minutes,
        "moment": prompt.moment,
        "because": wording.because(prompt.because),
    }


def _target_as_json(target: Target, wording: Wording) -> dict[str, Any]:
    return {
        "target": _number(target.target),
        "logged": _number(target.logged),
        "planned": target.planned,
        "short": _number(target.short),
        "why": None if target.why is None else wording.why(target.why),
    }


def _number(value: float) -> float:
    """Write whole numbers without a fraction, and others without the last digits that adding up leaves."""
    rounded = round(value, 6)
    return int(rounded) if rounded == int(rounded) else rounded
