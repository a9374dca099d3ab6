"""One question of what was learned, and its answer, as JSON values: {"plan", "date", "heard", "refused", "confirmed"} →
{"suggest": […], "receptive": […]}.

Words are not ours to choose: the caller hands in what turns a suggestion into its question.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, get_args
from zoneinfo import ZoneInfo

from scheduling.case import CaseProblems, Reader
from scheduling.learned.changes import suggest
from scheduling.learned.document import heard_from
from scheduling.learned.heard import Heard, heard_before
from scheduling.learned.receptive import windows
from scheduling.learned.suggestion import Asked, Suggestion, Times
from scheduling.plan import MomentName, Plan, Problem, plan_from
from scheduling.plan.document import minute_of
from scheduling.plan.problems import shown
from scheduling.plan.written import clock_of

_CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]|24:00")
_FIELDS = ("awake", "feeds", *(f"moments.{name}" for name in get_args(MomentName)))


@dataclass(frozen=True, slots=True)
class LearnCase:
    plan: Plan
    day: date
    heard: tuple[Heard, ...]
    refused: tuple[Asked, ...]
    confirmed: tuple[Asked, ...]

    def answer(self, because: Callable[[Suggestion], str]) -> dict[str, Any]:
        """Return what was learned before the date, as JSON values."""
        sightings = heard_before(self.heard, self.day, ZoneInfo(self.plan.time_zone))
        found = suggest(self.plan, self.day, sightings, self.refused, self.confirmed)
        return {
            "suggest": [_suggestion_as_json(found, because)] if found else [],
            "receptive": [
                {
                    "from": clock_of(window.start),
                    "to": clock_of(window.end),
                    "answered": window.answered,
                    "asked": window.asked,
                }
                for window in windows(sightings, self.day)
            ],
        }


def learn_case_from(document: object) -> LearnCase:
    """Return the case that parsed JSON holds.

    Raises:
        PlanProblems: the plan has problems.
        CaseProblems: anything else has.
    """
    if not isinstance(document, Mapping):
        raise CaseProblems((Problem("", f"{shown(document)} is no case: give an object with plan and date"),))
    reader = Reader()
    plan = plan_from(document.get("plan"))
    day = reader.read_date("date", document.get("date"))
    heard = heard_from(document.get("heard"), reader.wrong)
    refused = _asked(reader, "refused", document.get("refused"))
    confirmed = _asked(reader, "confirmed", document.get("confirmed"))
    if reader.problems or day is None:
        raise CaseProblems(tuple(reader.problems))
    return LearnCase(plan, day, heard, refused, confirmed)


def _asked(reader: Reader, name: str, value: object) -> tuple[Asked, ...]:
    if value is None:
        return ()
    if not isinstance(value, list):
        reader.wrong(name, f"{shown(value)} is not allowed: give a list of earlier suggestions")
        return ()
    found = (_one_asked(reader, f"{name}[{place}]", each) for place, each in enumerate(value))
    return tuple(each for each in found if each is not None)


def _one_asked(reader: Reader, path: str, value: object) -> Asked | None:
    if not isinstance(value, Mapping):
        reader.wrong(path, f"{shown(value)} is not allowed: give date, field, from_value and to_value")
        return None
    day = reader.read_date(f"{path}.date", value.get("date"))
    field = value.get("field")
    if field not in _FIELDS:
        reader.wrong(f"{path}.field", f"{shown(field)} is not allowed: give awake, feeds or moments.NAME")
        return None
    before = _times(reader, f"{path}.from_value", value.get("from_value"), spans=field == "awake")
    after = _times(reader, f"{path}.to_value", value.get("to_value"), spans=field == "awake")
    if day is None or before is None or after is None:
        return None
    return Asked(day, str(field), before, after)


def _times(reader: Reader, path: str, value: object, *, spans: bool) -> Times | None:
    each_of = [each if spans else [each] for each in value] if isinstance(value, list) else None
    if each_of is None or not all(
        isinstance(each, list)
        and len(each) == (2 if spans else 1)
        and all(isinstance(at, str) and _CLOCK.fullmatch(at) for at in each)
        for each in each_of
    ):
        kind = "[from, to] times" if spans else "times"
        reader.wrong(path, f"{shown(value)} is not allowed: give a list of {kind}, as HH:MM")
        return None
    return tuple(tuple(minute_of(at) for at in each) for each in each_of)


def _suggestion_as_json(found: Suggestion, because: Callable[[Suggestion], str]) -> dict[str, Any]:
    spans = found.field == "awake"
    return {
        "field": found.field,
        "from_value": _as_json(found.from_value, spans=spans),
        "to_value": _as_json(found.to_value, spans=spans),
        "because": because(found),
        "evidence": {"days": found.evidence.days, "of": found.evidence.of},
    }


def _as_json(times: Times, *, spans: bool) -> list[Any]:
    clocks = [[clock_of(at) for at in each] for each in times]
    return clocks if spans else [each[0] for each in clocks]
