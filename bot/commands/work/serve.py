"""Running the bot."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path

from bot.clock import Clock, RealClock, RehearsalClock
from bot.errors import InputProblem
from bot.logs import set_up_logs
from bot.messenger import serve as serving
from bot.settings import Settings, load_settings

FASTEST = 100_000


def run(env_file: Path | None, clock_start: str | None, clock_speed: float) -> None:
    settings = load_settings(env_file)
    clock = _clock(settings, clock_start, clock_speed)
    set_up_logs(settings.log)
    asyncio.run(serving.serve(settings, clock))


def _clock(settings: Settings, start: str | None, speed: float) -> Clock:
    if start is None and speed == 1.0:
        return RealClock()
    if not settings.api_is_local():
        raise InputProblem(
            "--clock-start and --clock-speed rehearse, and are refused unless UNDERWING_API_BASE is on this machine "
            "(http://127.0.0.1:…/bot): real families must not live in another time"
        )
    if not 0 < speed <= FASTEST:
        raise InputProblem(f"--clock-speed {speed:g} is out of range: give more than 0 and at most {FASTEST}")
    try:
        instant = datetime.fromisoformat(start) if start is not None else RealClock().now()
    except ValueError:
        raise InputProblem(
            f"--clock-start {start!r} is no ISO 8601 moment, like 2026-03-02T06:00:00-04:00"
        ) from None
    if instant.tzinfo is None:
        raise InputProblem(f"--clock-start {start!r} has no offset; add one, like {start}+00:00")
    return RehearsalClock(instant, speed)
