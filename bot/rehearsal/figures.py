"""What the lived weeks come to, one family of each kind: values, and the JSON they are printed as. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class Sent:
    """One reminder that was sent. minute: of the local day. fits: whether the baby was awake and not at a feed."""

    day: date
    minute: int
    fits: bool


@dataclass(frozen=True, slots=True)
class ActivityMinutes:
    """All in minutes over the weeks. target: None where the activity has none of its own."""

    activity: str
    name: str
    target: float | None
    minutes: float
    left: float
    right: float
    unsided: float


@dataclass(frozen=True, slots=True)
class Lived:
    """How the weeks went for one kind. load: by day, how many reminders the family could be sent. digest: the last week's."""

    kind: str
    title: str
    days: int
    sent: tuple[Sent, ...]
    answered: int
    load: tuple[int, ...]
    activities: tuple[ActivityMinutes, ...]
    digest: tuple[str, ...]

    @property
    def reminders_a_day(self) -> float:
        return round(len(self.sent) / self.days, 1)

    @property
    def answered_share(self) -> float | None:
        return round(self.answered / len(self.sent), 2) if self.sent else None

    @property
    def ill_timed_share(self) -> float | None:
        """The share of reminders that found the baby asleep or at a feed."""
        if not self.sent:
            return None
        return round(sum(not each.fits for each in self.sent) / len(self.sent), 2)

    @property
    def load_changes(self) -> tuple[tuple[int, int, int], ...]:
        """Return (day, load before, load after), days counted from 1."""
        return tuple(
            (day + 2, before, after)
            for day, (before, after) in enumerate(zip(self.load, self.load[1:], strict=False))
            if before != after
        )

    def as_json(self) -> dict[str, Any]:
        hours = Counter(each.minute // 60 for each in self.sent)
        return {
            "kind": self.kind,
            "days": self.days,
            "reminders": len(self.sent),
            "reminders_a_day": self.reminders_a_day,
            "by_hour": {f"{hour:02d}": hours[hour] for hour in sorted(hours)},
            "answered_share": self.answered_share,
            "ill_timed_share": self.ill_timed_share,
            "load": list(self.load),
            "load_changes": [
                {"day": day, "from": before, "to": after} for day, before, after in self.load_changes
            ],
            "activities": [asdict(each) for each in self.activities],
            "digest": list(self.digest),
        }


def share_of_target(activities: Sequence[ActivityMinutes]) -> float | None:
    """Return the mean over activities with a target of minutes ÷ target, each at most 1."""
    shares = [min(1.0, each.minutes / each.target) for each in activities if each.target]
    return round(sum(shares) / len(shares), 2) if shares else None
