"""How many replies one, two and four processes handle on PostgreSQL: python -m tests.benchmarks.replies_workers URL [CHATS] [ROUNDS].

URL: postgresql://user@host of a server on which this user may make databases; each measure gets one of its own, dropped
afterwards. As in replies_end_to_end, which measures SQLite: every chat says the same at the same moment, the messaging server
runs here. One process asks for updates and sends; all handle what it stored. Processor time is that of all of them together,
without PostgreSQL's own.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from sqlalchemy import make_url

from tests.benchmarks.replies_end_to_end import measure_bot

WORKERS = (1, 2, 4)


@contextmanager
def database_of_its_own(server: str, name: str) -> Iterator[str]:
    """Make an empty database on a server; yield its URL."""
    url = make_url(server)
    admin_url = url.set(drivername="postgresql", database="postgres").render_as_string(hide_password=False)
    with psycopg.connect(admin_url, autocommit=True) as admin:
        admin.execute(f'CREATE DATABASE "{name}"')
        try:
            yield url.set(database=name).render_as_string(hide_password=False)
        finally:
            admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


async def main() -> None:
    server, *given = sys.argv[1:]
    chats, rounds = (*map(int, given), *(400, 3)[len(given) :])
    for workers in WORKERS:
        with database_of_its_own(server, f"underwing_{uuid.uuid4().hex}") as url:
            found = await measure_bot(chats, rounds, database=url, workers=workers)
        for each in found:
            print(f"{workers} processes   {each}", flush=True)
        rate = statistics.median(each.handled / each.seconds for each in found)
        print(f"{workers} processes   median {rate:.0f} replies/s", flush=True)


if __name__ == "__main__":
    asyncio.run(main())
