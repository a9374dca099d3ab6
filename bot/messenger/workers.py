"""Units of work in worker threads: the event loop never waits for the database.

SQLite has one writer, so its writes queue in one thread; PostgreSQL takes several at once.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from bot.storage.store import Store
from bot.storage.unit_of_work import UnitOfWork

WRITERS = 4  # threads that write to PostgreSQL at once
READERS = 4

T = TypeVar("T")


class Workers:
    """Runs plain functions over one transaction each, outside the loop."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._writers = ThreadPoolExecutor(
            1 if store.embedded else WRITERS, thread_name_prefix="underwing-write"
        )
        self._readers = ThreadPoolExecutor(READERS, thread_name_prefix="underwing-read")

    async def write(self, work: Callable[[UnitOfWork], T]) -> T:
        """Return what `work` returns, after its transaction is committed; whatever it raises rolls it back."""
        return await asyncio.get_running_loop().run_in_executor(self._writers, self._in_write, work)

    async def read(self, work: Callable[[UnitOfWork], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._readers, self._in_read, work)

    def _in_write(self, work: Callable[[UnitOfWork], T]) -> T:
        with self.store.write() as uow:
            return work(uow)

    def _in_read(self, work: Callable[[UnitOfWork], T]) -> T:
        with self.store.read() as uow:
            return work(uow)

    def close(self) -> None:
        """Wait for what is in hand, and end the threads."""
        self._writers.shutdown()
        self._readers.shutdown()
