"""What the log says: minutes a day, prompts a day, starts that keep their distance, sides that were done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from zoneinfo import ZoneInfo

from scheduling.plan import Plan, Side

HALF_LIFE = 28
"""In how many days a logged minute comes to count half in the rotation between activities, so that one that is new in
the plan does not take every turn until it has caught up with months."""


DAYS_OF_TURNS = 7
"""Over how many days, the planned one with them, the activities of a goal take turns by their minutes."""

_EPOCH = date(1970, 1, 1)


@cache
def _weight(days: int) -> float:
    return float(0.5 ** (days / HALF_LIFE))


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One session that was done, or one prompt that was sent.

    minutes: 0 for a prompt that was not done, None for a session whose length nobody told. at: aware, when the session began, or a date where the hour is not known.
    prompted: the bot asked for it; False for a session that the family began by itself.
    """

    activity: str
    minutes: float | None
    side: Side | None
    at: datetime | date
    prompted: bool


@dataclass(frozen=True, slots=True)
class Start:
    """A logged session with a known hour. at: minutes since the epoch."""

    at: float
    minutes: float
    prompted: bool


@dataclass(slots=True)
class SideCount:
    left: int = 0
    right: int = 0
    latest: Side | None = None
    latest_at: float = float("-inf")

    def add(self, side: Side, when: float) -> None:
        """Count one session more. when: minutes since the epoch."""
        if side == "left":
            self.left += 1
        else:
            self.right += 1
        if when >= self.latest_at:
            self.latest, self.latest_at = side, when

    def copy(self) -> SideCount:
        return SideCount(self.left, self.right, self.latest, self.latest_at)


@dataclass(slots=True)
class History:
    """The log of one plan, summed up. Entries of activities that the plan does not hold are passed over.

    A session without minutes counts as the least that one prompt of its activity asks for. least: those, by activity.
    times: sessions done, by activity and date.
    """

    zone: ZoneInfo
    least: dict[str, int] = field(default_factory=dict)
    minutes: dict[str, dict[date, float]] = field(default_factory=dict)
    times: dict[str, dict[date, int]] = field(default_factory=dict)
    prompts: dict[date, int] = field(default_factory=dict)
    starts: dict[str, list[Start]] = field(default_factory=dict)
    sides: dict[str, SideCount] = field(default_factory=dict)
    entries: dict[date, list[tuple[LogEntry, float]]] = field(default_factory=dict)

    @classmethod
    def of(cls, plan: Plan, log: Iterable[LogEntry]) -> History:
        history = cls(ZoneInfo(plan.time_zone))
        for activity in plan.activities:
            history._know(activity.activity, activity.session[0])
        for entry in log:
            history.add(entry)
        return history

    def without(self, day: date) -> History:
        """Return the history of all days but this one."""
        rest = History(self.zone)
        for activity, least in self.least.items():
            rest._know(activity, least)
        for on, entries in self.entries.items():
            if on != day:
                for entry, when in entries:
                    rest._count(entry, on, when)
        return rest

    def add(self, entry: LogEntry) -> None:
        """Count one entry more."""
        if entry.activity not in self.minutes:
            return
        if isinstance(entry.at, datetime):
            local = entry.at if entry.at.tzinfo is self.zone else entry.at.astimezone(self.zone)
            self._count(entry, local.date(), entry.at.timestamp() / 60)
        else:
            self._count(entry, entry.at, (entry.at - _EPOCH).days * 1440)

    def _know(self, activity: str, least: int) -> None:
        self.least[activity] = least
        self.minutes[activity] = {}
        self.times[activity] = {}
        self.starts[activity] = []
        self.sides[activity] = SideCount()

    def _count(self, entry: LogEntry, day: date, when: float) -> None:
        """when: minutes since the epoch; of the day's beginning where the hour is not known."""
        self.entries.setdefault(day, []).append((entry, when))
        done = self.least[entry.activity] if entry.minutes is None else entry.minutes
        if isinstance(entry.at, datetime):
            self.starts[entry.activity].append(Start(when, done, entry.prompted))
        if entry.prompted:
            self.prompts[day] = self.prompts.get(day, 0) + 1
        if done > 0:
            minutes, times = self.minutes[entry.activity], self.times[entry.activity]
            minutes[day] = minutes.get(day, 0) + done
            times[day] = times.get(day, 0) + 1
            if entry.side is not None:
                self.sides[entry.activity].add(entry.side, when)

    def lately(self, activity: str, day: date, *, times: bool = False) -> float:
        """Return the minutes (or sessions) logged before `day`, those of HALF_LIFE days earlier counting half as much."""
        logged = (self.times if times else self.minutes)[activity]
        return sum(amount * _weight((day - on).days) for on, amount in logged.items() if on < day)

    def minutes_of_week(self, activity: str, day: date) -> float:
        """Return the minutes logged on `day` and the six days before it."""
        return sum(
            amount for on, amount in self.minutes[activity].items() if 0 <= (day - on).days < DAYS_OF_TURNS
        )
