"""Logs: one JSON line an event on standard error, with ids and never a person's words.

What happens again and again is told a few times a minute, with how often it was held back: no caller can fill the disk.
"""

from __future__ import annotations

import logging
import sys
import threading
import time
from collections.abc import Callable, MutableMapping
from dataclasses import dataclass, field
from typing import Any

import structlog

from bot.errors import InputProblem, where_it_broke

LEVELS = {"debug": logging.DEBUG, "info": logging.INFO, "warning": logging.WARNING, "error": logging.ERROR}
MOST_A_MINUTE = 30  # lines of one kind


@dataclass(slots=True)
class Pace:
    """Lets so many of one kind through in each minute. Times are seconds of any steady clock."""

    most: int = MOST_A_MINUTE
    now: Callable[[], float] = time.monotonic
    _minutes: dict[str, tuple[float, int]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def held_back(self, kind: str) -> int | None:
        """Return how many of a kind were held back since the last that went through; None where this one is too."""
        with self._lock:
            now = self.now()
            began, count = self._minutes.get(kind, (now, 0))
            before = 0
            if now - began >= 60.0:
                before, began, count = max(0, count - self.most), now, 0
            self._minutes[kind] = (began, count + 1)
            return before if count < self.most else None


class Seldom(logging.Filter):
    """The pace for what libraries log, by logger and level."""

    def __init__(self, pace: Pace) -> None:
        super().__init__()
        self._pace = pace

    def filter(self, record: logging.LogRecord) -> bool:
        before = self._pace.held_back(f"{record.name} {record.levelname}")
        if before:
            record.msg = f"{record.msg} ({before} more were held back)"
        return before is not None


class Wordless(logging.Formatter):
    """How a library's line is written: without the message of an error that comes with it."""

    def formatException(self, ei: Any) -> str:
        return where_it_broke(ei[1])


def _wordless(_logger: Any, _method: str, event: MutableMapping[str, Any]) -> MutableMapping[str, Any]:
    """The same for our own events, and for errors that one bears as a value."""
    given = event.pop("exc_info", None)
    error = given if isinstance(given, BaseException) else sys.exc_info()[1] if given else None
    told = {
        name: where_it_broke(value) if isinstance(value, BaseException) else value
        for name, value in event.items()
    }
    return {**told, "exception": where_it_broke(error)} if error is not None else told


def seldom(pace: Pace) -> Callable[[Any, str, MutableMapping[str, Any]], MutableMapping[str, Any]]:
    """Return the step of structlog that keeps the pace for our own events, by their name."""

    def step(_logger: Any, _method: str, event: MutableMapping[str, Any]) -> MutableMapping[str, Any]:
        before = pace.held_back(str(event.get("event")))
        if before is None:
            raise structlog.DropEvent
        return {**event, "held_back_before": before} if before else event

    return step


def steps(pace: Pace) -> list[Any]:
    """Return what is done to an event of ours before it is written."""
    return [
        seldom(pace),
        structlog.contextvars.merge_contextvars,
        structlog.processors.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        _wordless,
    ]


def set_up_logs(level: str) -> None:
    """Log to standard error from `level` on. Raises InputProblem for an unknown level."""
    if level not in LEVELS:
        raise InputProblem(f"UNDERWING_LOG is {level!r}: give one of {', '.join(LEVELS)}")
    pace = Pace()
    handler = logging.StreamHandler(sys.stderr)
    handler.addFilter(Seldom(pace))
    handler.setFormatter(Wordless("%(message)s"))
    logging.basicConfig(handlers=[handler], level=max(LEVELS[level], logging.WARNING))
    # The HTTP library logs whole URLs, which hold the token.
    for name in ("aiohttp", "httpx", "httpcore", "telegram", "apscheduler"):
        logging.getLogger(name).setLevel(logging.ERROR)
    structlog.configure(
        processors=[*steps(pace), structlog.processors.JSONRenderer()],
        wrapper_class=structlog.make_filtering_bound_logger(LEVELS[level]),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
        cache_logger_on_first_use=True,
    )
