"""Units of work in worker threads: the event loop never waits for the database.

SQLite has one writer, so its writes queue in one thread; PostgreSQL takes several at once. A database that is away is
told once in the log when it goes and once when it is back, whoever asks in between.
"""

from __future__ import annotations

import asyncio
import itertools
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TypeVar

import structlog

from bot.storage.store import Store
from bot.storage.trouble import DatabaseAway, why_away
from bot.storage.unit_of_work import UnitOfWork

WRITERS = 4  # threads that write to PostgreSQL at once
READERS = 4
STALLED_AFTER = 5.0  # seconds in one transaction; the longest slice of ours takes a second or two

log = structlog.get_logger(__name__)

T = TypeVar("T")


@dataclass(slots=True)
class Trial:
    """What a transaction tells of the database. tells: False for one that wrote nothing, which a full disk lets pass."""

    tells: bool = True


class Watch:
    """Whether the database answers, as those who work with it find. what: reading or writing, for the log."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._lock = threading.Lock()
        self._away: tuple[str, float] | None = None  # why, and since which monotonic second
        self._numbers = itertools.count()
        self._in_hand: dict[int, float] = {}  # since which monotonic second each transaction is under way

    @contextmanager
    def transaction(self) -> Iterator[Trial]:
        """Watch one transaction. Raises DatabaseAway where the database is the cause that it failed."""
        number = next(self._numbers)
        self._in_hand[number] = time.monotonic()
        trial = Trial()
        try:
            yield trial
        except Exception as error:
            why = why_away(error)
            if why is None:
                raise
            self._failed(why)
            raise DatabaseAway(why) from error
        else:
            if trial.tells:
                self._answered()
        finally:
            del self._in_hand[number]

    def problem(self) -> str | None:
        """Return what is wrong, in a few words; None while the database answers."""
        if self._away is not None:
            return f"does not answer ({self._away[0]})"
        oldest = min(list(self._in_hand.values()), default=None)
        waited = 0.0 if oldest is None else time.monotonic() - oldest
        return f"has not answered for {waited:.0f} seconds" if waited > STALLED_AFTER else None

    def _failed(self, why: str) -> None:
        with self._lock:
            known, self._away = self._away, self._away or (why, time.monotonic())
        if known is None:
            log.error("database does not answer", work=self._what, reason=why)

    def _answered(self) -> None:
        with self._lock:
            away, self._away = self._away, None
        if away is not None:
            log.info(
                "database answers again", work=self._what, away_seconds=round(time.monotonic() - away[1], 1)
            )


class Workers:
    """Runs plain functions over one transaction each, outside the loop.

    `write` and `read` raise DatabaseAway where the database cannot work now, and else whatever the function raises.
    """

    def __init__(self, store: Store) -> None:
        self.store = store
        self._writers = ThreadPoolExecutor(
            1 if store.embedded else WRITERS, thread_name_prefix="underwing-write"
        )
        self._readers = ThreadPoolExecutor(READERS, thread_name_prefix="underwing-read")
        self._holds_erased = False
        self._writing, self._reading = Watch("writing"), Watch("reading")

    async def write(self, work: Callable[[UnitOfWork], T]) -> T:
        """Return what `work` returns, after its transaction is committed; whatever it raises rolls it back."""
        return await asyncio.get_running_loop().run_in_executor(self._writers, self._in_write, work)

    async def read(self, work: Callable[[UnitOfWork], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._readers, self._in_read, work)

    def database_problem(self) -> str | None:
        """Return what is wrong with the database, as the last who worked with it found."""
        return self._writing.problem() or self._reading.problem()

    def _in_write(self, work: Callable[[UnitOfWork], T]) -> T:
        with self._writing.transaction() as trial:
            with self.store.write() as uow:
                before = uow.rows_changed()
                done = work(uow)
                trial.tells = before is None or uow.rows_changed() != before
            self._forget_for_good(uow)
        return done

    def _forget_for_good(self, uow: UnitOfWork) -> None:
        """After an erasure, leave nothing of it in file and journal; where somebody still reads, again after the next write."""
        if uow.erased or self._holds_erased:
            self._holds_erased = not self.store.forget_erased()

    def _in_read(self, work: Callable[[UnitOfWork], T]) -> T:
        with self._reading.transaction(), self.store.read() as uow:
            return work(uow)

    def close(self) -> None:
        """Wait for what is in hand, and end the threads."""
        self._writers.shutdown()
        self._readers.shutdown()
