"""The whole bot, wired: the only place that names every part.

poll or webhook → inbox → handler → features → outbox → sender
                           periodic_jobs ─────────┘ └─ renderer
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import os
import signal
import socket
from collections.abc import Iterator
from functools import partial

import structlog
from sqlalchemy.exc import DBAPIError
from telegram import Bot
from telegram.error import InvalidToken, TelegramError

from bot.activities.library import BadActivityFile, Library, load_library
from bot.clock import Clock, backoff, real_seconds
from bot.concerns.reader import shipped_reader
from bot.errors import InputProblem, WorldProblem
from bot.features.routing.router import Router
from bot.messenger.api import WANTED_UPDATES, make_bot
from bot.messenger.commands_menu import set_menus
from bot.messenger.drawing import Drawer
from bot.messenger.handler import Handler
from bot.messenger.health import Health, overdue_line, untold, untold_line
from bot.messenger.intake import Intake
from bot.messenger.limits import Limits, Rates
from bot.messenger.material_files import MaterialFiles
from bot.messenger.metrics import Metrics
from bot.messenger.periodic_jobs import PeriodicJobs
from bot.messenger.renderer import Renderer
from bot.messenger.sender import Sender
from bot.messenger.web import make_app, start_web
from bot.messenger.workers import Workers
from bot.replies.lexicon import lexicon
from bot.settings import Settings
from bot.storage import migrate
from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork
from scheduling.runner import Runner

STOP_WITHIN = 10.0  # seconds in which what is in hand is finished
LEASE = 8.0  # seconds that a process leads without renewing

log = structlog.get_logger(__name__)


class Parts:
    """Everything that runs, for one store and one bot. drawer: what draws pictures and pages; else a process."""

    def __init__(
        self,
        store: Store,
        bot: Bot,
        clock: Clock,
        library: Library,
        rates: Rates | None,
        drawer: Drawer | None = None,
        *,
        learning: bool = True,
    ) -> None:
        self.store, self.bot, self.clock = store, bot, clock
        self.metrics = Metrics()
        self.router = Router(clock, library, bot_name=bot.username, learning=learning)
        self.workers = workers = Workers(store)
        materials = MaterialFiles(workers, bot, clock)
        self.sender = Sender(workers, bot, clock, Limits(rates), self.metrics, materials)
        self.drawer = drawer or Drawer(library)
        self.renderer = Renderer(workers, self.router, clock, self.drawer, self.sender.wake.set)
        self.handler = Handler(workers, bot, clock, self.router, self.metrics, self._queued)
        self.intake = Intake(workers, bot, clock, self.metrics, self.handler.wake.set)
        self.periodic_jobs = PeriodicJobs(
            workers, self.router, self.metrics, self._queued, also=[materials.periodic_job()]
        )
        self.runner: Runner | None = None  # while this process keeps the timers

    def _queued(self) -> None:
        """Wake whoever deals with what may stand in the outbox now."""
        self.sender.wake.set()
        self.renderer.wake.set()

    def close(self) -> None:
        """Finish what is in hand, and end threads and processes."""
        self.drawer.close()
        self.workers.close()

    async def healthy(self) -> Health:
        """Return what is wrong, by name; nothing when all is well."""
        problems, told = {}, {}
        if self.intake.problem:
            problems["updates"] = self.intake.problem
        if self.sender.refused:
            problems["sending"] = self.sender.refused
        try:
            told = await self.workers.read(lambda uow: untold(uow, self.clock.now()))
        except (DBAPIError, OSError) as error:
            problems["database"] = type(error).__name__
        if "concern" in told:
            problems["untold"] = untold_line(told)
        if self.runner is None:
            return Health(problems, untold=told)
        if overdue := self.runner.overdue():
            problems["jobs"] = overdue_line(overdue)
        return Health(problems, self.runner.seconds_since(), told)


def library_of(settings: Settings) -> Library:
    """Return the activities, the clinic's own with them. Raises InputProblem for a file that cannot be used."""
    try:
        return load_library(settings.activities)
    except BadActivityFile as error:
        raise InputProblem(error.problems) from None


@contextlib.contextmanager
def opened(settings: Settings) -> Iterator[Store]:
    """Open the database of the settings, brought to its newest form."""
    store = Store.open(settings.database_url(), settings.encryption())
    try:
        migrate.upgrade(store)
        yield store
    finally:
        store.close()


async def serve(settings: Settings, clock: Clock) -> None:
    """Serve until SIGTERM or SIGINT; then stop taking work and finish what is in hand within 10 seconds."""
    library = library_of(settings)
    load_for_good()
    stopping = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(name, stopping.set)
    bot = make_bot(settings.bot_token(), settings.api_base, settings.file_base())
    with opened(settings) as store:
        await _first_contact(bot, stopping)
        if stopping.is_set():
            return
        try:
            parts = Parts(store, bot, clock, library, _rates(settings), learning=settings.learning)
            await _run(parts, settings, stopping)
        finally:
            with contextlib.suppress(TelegramError):
                await bot.shutdown()


def load_for_good() -> None:
    """Compile what messages are read with: it takes seconds, for which a first concern must not wait.

    It is then taken out of the search for garbage, which else stops every thread for 150 ms at a time.
    """
    shipped_reader()
    lexicon()
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
            log.warning("messaging service not reached", error=str(error), again_in=wait)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=wait)


async def _run(parts: Parts, settings: Settings, stopping: asyncio.Event) -> None:
    holder = f"{socket.gethostname()}:{os.getpid()}:{id(parts):x}"
    web = None
    if settings.listen is not None:
        app = make_app(
            parts.workers,
            parts.clock,
            parts.metrics,
            secret=settings.webhook_secret if settings.webhook_url else None,
            stored=parts.handler.wake.set,
            healthy=parts.healthy,
        )
        web = start_web(app, settings.listen)
    jobs = [asyncio.create_task(parts.handler.run(stopping), name="handler")]
    log.info("serving", updates="webhook" if settings.webhook_url else "polling")
    try:
        leading = asyncio.create_task(_lead(parts, settings, holder, stopping), name="lead")
        jobs.append(leading)
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
            web.should_exit = True
            await asyncio.sleep(0)
        await parts.workers.write(lambda uow: uow.leases.give_up(holder))
        await asyncio.to_thread(parts.close)
    log.info("stopped")


async def _lead(parts: Parts, settings: Settings, holder: str, stopping: asyncio.Event) -> None:
    """Poll, send and keep the timers while this process holds the lease; several processes take turns at it."""
    while not stopping.is_set():
        leads = await parts.workers.write(partial(_take_lead, holder=holder))
        if leads:
            await _led(parts, settings, holder, stopping)
        else:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=1.0)


def _take_lead(uow: UnitOfWork, holder: str) -> bool:
    dead = _dead(uow.leases.holder_of("lead"))
    return uow.leases.hold("lead", holder, real_now=real_seconds(), seconds=LEASE, dead=dead)


def _dead(holder: str | None) -> str | None:
    """Return the holder of the lease if it was a process of this machine that runs no more."""
    if holder is None:
        return None
    host, pid, _ = holder.rsplit(":", 2)
    if host != socket.gethostname() or int(pid) == os.getpid():
        return None
    try:
        os.kill(int(pid), 0)
    except ProcessLookupError:
        return holder
    except PermissionError:
        return None
    return None


async def _led(parts: Parts, settings: Settings, holder: str, stopping: asyncio.Event) -> None:
    lost = asyncio.Event()
    await _prepare_service(parts, settings)
    parts.runner = runner = Runner(parts.periodic_jobs.all(), speed=parts.clock.speed)
    runner.start()
    jobs = [
        asyncio.create_task(parts.sender.run(lost), name="sender"),
        asyncio.create_task(parts.renderer.run(lost), name="renderer"),
    ]
    if not settings.webhook_url:
        jobs.append(asyncio.create_task(parts.intake.run(lost), name="intake"))
    try:
        while not stopping.is_set() and all(not job.done() for job in jobs):
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=LEASE / 3)
            if not await parts.workers.write(
                lambda uow: uow.leases.hold("lead", holder, real_now=real_seconds(), seconds=LEASE)
            ):
                break
    finally:
        runner.stop()
        parts.runner = None
        lost.set()
        await asyncio.wait(jobs, timeout=STOP_WITHIN - 1)
        for job in jobs:
            job.cancel()
        for result in await asyncio.gather(*jobs, return_exceptions=True):
            if isinstance(result, Exception):
                log.error("part stopped", error=repr(result))


async def _prepare_service(parts: Parts, settings: Settings) -> None:
    """Set webhook or polling, and the menus of commands; a failure here is no reason not to serve."""
    try:
        if settings.webhook_url:
            await parts.bot.set_webhook(
                settings.webhook_url.rstrip("/") + "/webhook",
                secret_token=settings.webhook_secret,
                max_connections=40,
                allowed_updates=WANTED_UPDATES,
            )
        else:
            await parts.bot.delete_webhook(drop_pending_updates=False)
        await set_menus(parts.bot, parts.workers)
    except TelegramError as error:
        log.warning("service not prepared", error=str(error))
