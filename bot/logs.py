"""Logs: one JSON line an event on standard error, with ids and never a person's words."""

from __future__ import annotations

import logging
import sys

import structlog

from bot.errors import InputProblem

LEVELS = {"debug": logging.DEBUG, "info": logging.INFO, "warning": logging.WARNING, "error": logging.ERROR}


def set_up_logs(level: str) -> None:
    """Log to standard error from `level` on. Raises InputProblem for an unknown level."""
    if level not in LEVELS:
        raise InputProblem(f"UNDERWING_LOG is {level!r}: give one of {', '.join(LEVELS)}")
    logging.basicConfig(stream=sys.stderr, level=max(LEVELS[level], logging.WARNING), format="%(message)s")
    # The HTTP library logs whole URLs, which hold the token.
    for name in ("httpx", "httpcore", "telegram", "apscheduler"):
        logging.getLogger(name).setLevel(logging.ERROR)
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(LEVELS[level]),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
        cache_logger_on_first_use=True,
    )
