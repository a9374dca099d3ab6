"""Serving, from the first contact with the messaging service to a clean stop."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import signal

import structlog
from telegram import Bot
from telegram.error import InvalidToken, TelegramError

from bot.activities.library import library_of
from bot.clock import Clock, backoff
from bot.concerns.reader import shipped_reader
from bot.errors import WorldProblem
from bot.messenger.api import make_bot
from bot.messenger.installation import opened
from bot.messenger.leading import Leader
from bot.messenger.limits import Rates
from bot.messenger.parts import Parts
from bot.messenger.web import make_app, start_web
from bot.replies.lexicon import whole_lexicon
from bot.settings import Settings
from bot.storage.trouble import why_away

STOP_WITHIN = 10.0  # seconds in which what is in hand is finished
LONGEST_PAUSE = 5.0  # seconds between two tries to reach the database at the start
# How PostgreSQL says that whoever set the address must mend it.
REFUSED = ("authentication failed", "no pg_hba.conf entry", "does not exist", "no password supplied")

log = structlog.get_logger(__name__)


async def serve(settings: Settings, clock: Clock) -> None:
    """Serve until SIGTERM or SIGINT; then stop taking work and finish what is in hand within 10 seconds."""
    library = library_of(settings.activities)
    load_for_good()
    stopping = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(name, stopping.set)
    bot = make_bot(settings.bot_token(), settings.api_base, settings.file_base())
    try:
        if await _database_answers(settings, stopping):
            await _first_contact(bot, stopping)
        if stopping.is_set():
            return
        with opened(settings) as store:
            parts = Parts(
                store,
                bot,
                clock,
                library,
                _rates(settings),
                learning=settings.learning,
                keeping=settings.keeping(),
            )
            await run_parts(parts, settings, stopping)
    finally:
        with contextlib.suppress(TelegramError):
            await bot.shutdown()


async def _database_answers(settings: Settings, stopping: asyncio.Event) -> bool:
    """Wait for a database that is away, as it may be when a machine starts; return whether it answers.

    Raises what no waiting mends: a wrong address, a wrong password, a folder that is not there.
    """
    failures = 0
    while not stopping.is_set():
        try:
            await asyncio.to_thread(_open_once, settings)
        except Exception as error:
            why = why_away(error)
            if why is None or any(sign in why for sign in REFUSED):
                raise
            failures += 1
            if failures == 1:
                log.warning("waiting for the database", reason=why)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=backoff(failures, most=LONGEST_PAUSE))
        else:
            return True
    return False


def _open_once(settings: Settings) -> None:
    with opened(settings):
        pass


def load_for_good() -> None:
    """Compile what messages are read with: it takes seconds, for which a first concern must not wait.

    It is then taken out of the search for garbage, which else stops every thread for 150 ms at a time.
    """
    shipped_reader()
    whole_lexicon()
    gc.collect()
    gc.freeze()


def _rates(settings: Settings) -> Rates | None:
    if not settings.benchmark_without_limits:
        return Rates()
    log.warning("UNDERWING_BENCHMARK_WITHOUT_LIMITS is set: sending without limits, for benchmarks alone")
    return None


async def _first_contact(bot: Bot, stopping: asyncio.Event) -> None:
    """Learn who we are; a token that is refused ends here, a service that is away is waited for."""
    failures = 0
    while not stopping.is_set():
        try:
            await bot.initialize()
            return
        except InvalidToken:
            raise WorldProblem(
                "The messaging service refuses UNDERWING_TOKEN; check it, or ask for a new one"
            ) from None
        except TelegramError as error:
            failures += 1
            wait = backoff(failures, most=30.0)
            log.warning("messaging service not reached", error=error, again_in=wait)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=wait)


async def run_parts(parts: Parts, settings: Settings, stopping: asyncio.Event) -> None:
    """Serve with parts that are ready until `stopping`; whatever becomes of the database meanwhile is waited for."""
    leader, web = Leader(parts, settings), None
    if settings.listen is not None:
        app = make_app(
            parts.workers,
            parts.clock,
            parts.metrics,
            secret=settings.webhook_secret if settings.webhook_url else None,
            stored=parts.handler.wake.set,
            healthy=parts.healthy,
            watch_secret=settings.watch_secret,
        )
        web = start_web(app, settings.listen)
    log.info("serving", updates="webhook" if settings.webhook_url else "polling")
    jobs = [
        asyncio.create_task(parts.handler.run(stopping), name="handler"),
        asyncio.create_task(leader.run(stopping), name="lead"),
    ]
    if not parts.store.embedded:
        jobs.append(asyncio.create_task(parts.wakeups.run(stopping), name="wakeups"))
    try:
        stop = asyncio.create_task(stopping.wait())
        done, _ = await asyncio.wait({*jobs, stop}, return_when=asyncio.FIRST_COMPLETED)
        stopping.set()
        await asyncio.wait(jobs, timeout=STOP_WITHIN)
        for job in done - {stop}:
            job.result()
    finally:
        for job in jobs:
            job.cancel()
        await asyncio.gather(*jobs, return_exceptions=True)
        if web is not None:
            await web.end()
        await leader.give_up()
        await asyncio.to_thread(parts.close)
    log.info("stopped")
