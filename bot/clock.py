"""The one place that reads a clock. Everything else is handed an instant.

Messaging limits, leases and time-outs run in real time (`real`), whatever the rehearsal clock says.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tells what time it is for families and therapists."""

    speed: float

    def now(self) -> datetime:
        """Return the present instant, aware, in UTC."""

    def heard(self, sent: datetime) -> datetime:
        """Return the instant at which a message that the service stamped `sent` counts as said."""


class RealClock:
    """The machine's own clock."""

    speed = 1.0

    def now(self) -> datetime:
        return datetime.now(UTC)  # noqa: TID251 - the one reader

    def heard(self, sent: datetime) -> datetime:
        return min(sent.astimezone(UTC), self.now())


class RehearsalClock:
    """Stands at `start` when made, then runs `speed` times as fast as real time."""

    def __init__(self, start: datetime, speed: float = 1.0) -> None:
        self._start = start.astimezone(UTC)
        self._began = time.monotonic()
        self.speed = speed

    def now(self) -> datetime:
        return self._start + timedelta(seconds=(time.monotonic() - self._began) * self.speed)

    def heard(self, sent: datetime) -> datetime:
        # The service stamps real time, which says nothing about the rehearsed day.
        return self.now()


class SteppedClock:
    """Stands still until it is moved on; for the demo and for tests."""

    speed = 1.0

    def __init__(self, start: datetime) -> None:
        self._now = start.astimezone(UTC)

    def now(self) -> datetime:
        return self._now

    def heard(self, sent: datetime) -> datetime:
        return self._now

    def move_to(self, instant: datetime) -> None:
        """Move on to `instant`; a clock never goes back."""
        self._now = max(self._now, instant.astimezone(UTC))

    def advance(self, wait: timedelta) -> None:
        self._now += wait


def real_seconds() -> float:
    """Return real time in seconds since the epoch, for leases and retries that outlive a process."""
    return time.time()


def backoff(failures: int, *, first: float = 1.0, most: float = 60.0) -> float:
    """Return the seconds to wait after so many failures in a row: `first`, doubled each time, at most `most`."""
    return min(most, first * 2.0 ** min(max(0, failures - 1), 32))
