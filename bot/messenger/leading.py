"""One process at a time polls, sends, draws and keeps the timers: whoever holds the lease in the database."""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import os
import secrets
import socket
import time
from functools import cache
from pathlib import Path

import structlog
from telegram.error import TelegramError

from bot.clock import backoff, real_seconds
from bot.messenger.api import WANTED_UPDATES
from bot.messenger.commands_menu import set_menus
from bot.messenger.parts import Parts
from bot.settings import Settings
from bot.storage.trouble import DatabaseAway
from bot.storage.unit_of_work import UnitOfWork
from scheduling.runner import Runner

LEASE = 8.0  # seconds that a process leads without renewing
LOOK_EVERY = 1.0  # seconds between two looks at whether the lease is free
FINISH_WITHIN = 9.0  # seconds
GIVE_UP_WITHIN = 2.0  # seconds; a lease that is not given up runs out by itself
LONGEST_PAUSE = 5.0  # seconds

log = structlog.get_logger(__name__)


class Leader:
    """Takes the lead when it is free, and does what the leading process does while it has it."""

    def __init__(self, parts: Parts, settings: Settings) -> None:
        self._parts, self._settings = parts, settings
        self.holder = new_holder()

    async def run(self, stopping: asyncio.Event) -> None:
        failures = 0
        while not stopping.is_set():
            try:
                leads = await self._parts.workers.write(self._take)
                if leads:
                    await self._lead(stopping)
                failures, wait = 0, LOOK_EVERY
            except DatabaseAway:
                failures += 1
                wait = backoff(failures, most=LONGEST_PAUSE)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=wait)

    async def give_up(self) -> None:
        """Let another process lead at once."""
        giving_up = self._parts.workers.write(lambda uow: uow.leases.give_up(self.holder))
        with contextlib.suppress(DatabaseAway, TimeoutError):
            await asyncio.wait_for(giving_up, timeout=GIVE_UP_WITHIN)

    def _take(self, uow: UnitOfWork) -> bool:
        dead = _dead(uow.leases.holder_of("lead"))
        return uow.leases.hold("lead", self.holder, real_now=real_seconds(), seconds=LEASE, dead=dead)

    def _renew(self, uow: UnitOfWork) -> bool:
        return uow.leases.hold("lead", self.holder, real_now=real_seconds(), seconds=LEASE)

    async def _lead(self, stopping: asyncio.Event) -> None:
        parts, lost = self._parts, asyncio.Event()
        await self._choose_webhook_or_polling()
        parts.runner = runner = Runner(parts.periodic_jobs.all(), speed=parts.clock.speed)
        runner.start()
        jobs = [
            asyncio.create_task(parts.sender.run(lost), name="sender"),
            asyncio.create_task(parts.renderer.run(lost), name="renderer"),
        ]
        if not self._settings.webhook_url:
            jobs.append(asyncio.create_task(parts.intake.run(lost), name="intake"))
        # A call a therapist: nothing that families wait for may wait for it.
        menus = asyncio.create_task(self._set_menus(), name="menus")
        try:
            await self._hold_on(stopping, jobs)
        finally:
            menus.cancel()
            await asyncio.gather(menus, return_exceptions=True)
            runner.stop()
            parts.runner = None
            lost.set()
            await asyncio.wait(jobs, timeout=FINISH_WITHIN)
            for job in jobs:
                job.cancel()
            for result in await asyncio.gather(*jobs, return_exceptions=True):
                if isinstance(result, Exception):
                    log.error("part stopped", error=result)

    async def _hold_on(self, stopping: asyncio.Event, jobs: list[asyncio.Task[None]]) -> None:
        """Renew the lease until told to stop, until it is lost, or until a part ends."""
        renewed = time.monotonic()
        while not stopping.is_set() and all(not job.done() for job in jobs):
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stopping.wait(), timeout=LEASE / 3)
            try:
                if not await self._parts.workers.write(self._renew):
                    return
                renewed = time.monotonic()
            except DatabaseAway:
                # Another may lead from then on, if it reaches the database.
                if time.monotonic() - renewed > LEASE:
                    return

    async def _choose_webhook_or_polling(self) -> None:
        """Say how updates are to come; a failure here is no reason not to serve."""
        settings, bot = self._settings, self._parts.bot
        try:
            if settings.webhook_url:
                await bot.set_webhook(
                    settings.webhook_url.rstrip("/") + "/webhook",
                    secret_token=settings.webhook_secret,
                    max_connections=40,
                    allowed_updates=WANTED_UPDATES,
                )
            else:
                await bot.delete_webhook(drop_pending_updates=False)
        except TelegramError as error:
            log.warning("service not prepared", error=error)

    async def _set_menus(self) -> None:
        try:
            await set_menus(self._parts.bot, self._parts.workers)
        except (TelegramError, DatabaseAway) as error:
            log.warning("menus not set", error=error)


def new_holder() -> str:
    """Return a name that no other process has: where it runs, its process id there, and a chance number."""
    return f"{_machine()}:{os.getpid()}:{secrets.token_hex(8)}"


@cache
def _machine() -> str:
    """Return what tells this machine's process ids from every other's: its start, and its space of process ids.

    A host name does not: two containers may share one. Where the system does not say, a chance name stands for this
    process alone, and nothing is taken for dead.
    """
    try:
        start = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
        known = f"{start} {os.readlink('/proc/self/ns/pid')} {socket.gethostname()}"
    except OSError:
        known = secrets.token_hex(16)
    return hashlib.sha256(known.encode()).hexdigest()[:16]


def _dead(holder: str | None) -> str | None:
    """Return the holder of the lease if it was a process of this machine that runs no more."""
    if holder is None:
        return None
    machine, process_id, _ = holder.rsplit(":", 2)
    if machine != _machine() or int(process_id) == os.getpid():
        return None
    try:
        os.kill(int(process_id), 0)
    except ProcessLookupError:
        return holder
    except PermissionError:
        return None
    return None
