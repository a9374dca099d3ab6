"""Draws in a process of its own: neither the database nor the event loop waits for a picture or a page.

The process starts with the first request and ends with the bot. Where none can be started, a thread draws.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait as wait_for

import structlog

from bot.activities.library import Library
from bot.domain.outgoing import Drawn
from bot.features.routing.render_routes import Work
from bot.logs import set_up_logs

START_WITHIN = 60.0  # seconds
LESS_PRESSING = 5  # added to the process's niceness: on one core, people come before pictures

log = structlog.get_logger(__name__)


class Drawer:
    """Draws one thing at a time. in_process: False for a rehearsal, whose draws must not cost a process each."""

    def __init__(self, library: Library, *, in_process: bool = True) -> None:
        self._library, self._in_process = library, in_process
        self._pool: ProcessPoolExecutor | None = None
        # Starting a process, and handing work over to it, take their time: neither is done on the loop.
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="underwing-draw")

    async def draw(self, work: Work) -> tuple[Drawn, ...]:
        """Return what is drawn. Raises what drawing raises; OSError where the process that drew is gone."""
        return await asyncio.get_running_loop().run_in_executor(self._thread, self._draw, work)

    def _draw(self, work: Work) -> tuple[Drawn, ...]:
        if self._pool is None and self._in_process:
            self._pool = self._started()
        if self._pool is None:
            return work.draw(self._library)
        try:
            return self._pool.submit(_draw_here, work).result()
        except BrokenProcessPool as error:
            self._pool = None  # the next one starts another
            raise OSError(f"the process that draws is gone ({error})") from error

    def _started(self) -> ProcessPoolExecutor | None:
        pool = ProcessPoolExecutor(
            1, multiprocessing.get_context("spawn"), initializer=_ready, initargs=(self._library,)
        )
        # Told to stop with the whole group, as service managers do, it draws on until the bot ends it. What is blocked
        # here is blocked there from its first instruction on.
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGTERM, signal.SIGINT})
        try:
            pool.submit(os.getpid).result(timeout=START_WITHIN)
        except (OSError, BrokenProcessPool, TimeoutError) as error:
            log.warning("no process to draw in; a thread draws", error=error)
            self._in_process = False
            pool.shutdown(wait=False, cancel_futures=True)
            return None
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
        return pool

    def close(self) -> None:
        """End the process and the thread, after what is being drawn."""
        self._thread.shutdown(cancel_futures=True)
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None


# ---------------------------------------------------------------- in the process that draws

_library: Library | None = None


def _ready(library: Library) -> None:
    global _library
    _library = library
    set_up_logs("warning")
    with contextlib.suppress(OSError):
        os.nice(LESS_PRESSING)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """A bot that is killed ends nothing by itself; without it nobody wants what is drawn."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait_for([parent.sentinel])
        os._exit(1)


def _draw_here(work: Work) -> tuple[Drawn, ...]:
    assert _library is not None
    return work.draw(_library)
