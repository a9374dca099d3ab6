"""What is to be lived, and who lives it: found by entry point, since the bot knows nothing of the demo that brings it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from importlib.metadata import entry_points
from typing import Any
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.phrases import Language
from bot.rehearsal.figures import Lived
from scheduling.plan import Plan, plan_from

GROUP = "underwing.rehearsal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is to be lived.

    clinic, plan: as a caseload file holds them. carers: the language that the invented carers write. first: a date of the
    plan's zone. kinds: of families, by id; empty for all. language: of what comes out.
    """

    clinic: Mapping[str, Any]
    plan: Mapping[str, Any]
    carers: Language
    first: date
    days: int
    seed: int
    kinds: tuple[str, ...] = ()
    language: Language = "en"

    @property
    def as_plan(self) -> Plan:
        return plan_from(self.plan)

    @property
    def starts(self) -> datetime:
        """The first midnight of the plan's zone."""
        return datetime.combine(self.first, time(0), ZoneInfo(self.as_plan.time_zone))

    @property
    def ends(self) -> datetime:
        return self.starts + timedelta(days=self.days)


Living = Callable[[Trial, Library], Sequence[Lived]]
"""Lives a trial to its end, and returns what it came to for each kind. The same trial comes to the same."""


def monday_after(today: date) -> date:
    return today + timedelta(days=7 - today.weekday())


def living() -> Living | None:
    """Return what lives trials here; None where nothing of the kind is installed."""
    found = next(iter(entry_points(group=GROUP)), None)
    return None if found is None else found.load()
