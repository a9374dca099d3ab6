"""The server's own clock: what messages are dated with, and how old an update is."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta


class ServerClock:
    """A clock that can be set, advanced and sped up for a rehearsal.

    Two readings: `now` is the date that people see, and runs `speed` times as fast as real time; `elapsed` counts
    the seconds by which updates age, and runs in real time whatever the speed, so that a week played in a minute
    does not spoil every button. Setting or advancing the clock moves both.
    """

    def __init__(
        self,
        start: datetime | None = None,
        *,
        speed: float = 1.0,
        timer: Callable[[], float] = time.monotonic,
    ) -> None:
        """start: aware; the present when left out. speed: more than 0. timer: seconds that only ever grow."""
        if start is not None and start.tzinfo is None:
            raise ValueError("The clock's start has no time zone: add an offset, such as +00:00.")
        if not speed > 0:
            raise ValueError(f"The clock's speed is {speed}: it must be more than 0.")
        self._timer = timer
        self._speed = speed
        self._began = timer()
        self._start = time.time() if start is None else start.timestamp()
        self._moved = 0.0
        self._aged = 0.0

    def now(self) -> float:
        """Return the present, in seconds since 1970 in UTC."""
        return self._start + (self._timer() - self._began) * self._speed + self._moved

    def today(self) -> datetime:
        """Return the present as an aware datetime in UTC."""
        return datetime.fromtimestamp(self.now(), UTC)

    def elapsed(self) -> float:
        """Return the seconds that count toward the age of updates."""
        return self._timer() - self._began + self._aged

    def advance(self, by: timedelta) -> None:
        """Move forward; a negative step is refused."""
        if by < timedelta(0):
            raise ValueError(f"The clock cannot be advanced by {by}: give a step forward, or set it.")
        self._moved += by.total_seconds()
        self._aged += by.total_seconds()

    def set(self, instant: datetime) -> None:
        """Show `instant` (aware). A step forward ages updates by as much; a step back makes none younger."""
        if instant.tzinfo is None:
            raise ValueError(
                "The clock cannot be set to a time without a zone: add an offset, such as +00:00."
            )
        step = instant.timestamp() - self.now()
        self._moved += step
        self._aged += max(0.0, step)
