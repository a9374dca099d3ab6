"""A database that is stopped, locked or full is waited for: nothing ends, nothing is lost, and the operator is told."""

from __future__ import annotations

import asyncio
import resource
import sqlite3
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field

import httpx
import psycopg
import pytest
import structlog
from sqlalchemy import event, make_url
from structlog.testing import capture_logs

from bot.domain.ids import ChatId, OutboxId
from bot.domain.outgoing import MessageEdit, OutgoingMessage
from bot.messenger import serve, workers
from bot.settings import load_settings
from bot.storage.store import Store
from bot.storage.tables import reminders
from bot.storage.trouble import DatabaseAway
from tests.messenger.conftest import MUM, Edge

ANSWER_WITHIN = 15.0  # seconds


@contextmanager
def locked(store: Store) -> Iterator[None]:
    """Hold SQLite's write lock from another process's connection."""
    other = sqlite3.connect(make_url(str(store.engine.url)).database or "", isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    yield
    other.execute("ROLLBACK")
    other.close()


@contextmanager
def full(store: Store) -> Iterator[None]:
    """Let no file of this process grow, as on a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def stopped(store: Store) -> Iterator[None]:
    """Have PostgreSQL end every connection to the database, and take no new one."""
    url, name = store.engine.url, store.engine.url.database
    admin = psycopg.connect(f"host={url.query['host']} user={url.username} dbname=postgres", autocommit=True)
    admin.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS false')
    admin.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name])
    yield
    admin.execute(f'ALTER DATABASE "{name}" ALLOW_CONNECTIONS true')
    admin.close()


def impatient(store: Store) -> Store:
    """Have a store wait for no lock."""
    if store.embedded:
        store.engine.dispose()

        @event.listens_for(store.engine, "connect")
        def connected(connection: sqlite3.Connection, _record: object) -> None:
            connection.execute("PRAGMA busy_timeout=50")

    return store


Trouble = Callable[[Store], AbstractContextManager[None]]
TROUBLES = pytest.mark.parametrize(
    ("database", "trouble"),
    [("sqlite", locked), ("sqlite", full), ("postgresql", stopped)],
    indirect=["database"],
)


@dataclass
class Serving:
    """A bot that serves in this process; `address` is that of its health."""

    edge: Edge
    address: str
    task: asyncio.Task[None]
    logged: list[structlog.typing.EventDict] = field(default_factory=list)

    async def health(self) -> tuple[int, dict[str, str]]:
        async with httpx.AsyncClient() as client:
            answer = await client.get(f"{self.address}/health")
        return answer.status_code, answer.json()["problems"]

    async def until_health(self, status: int) -> dict[str, str]:
        async with asyncio.timeout(ANSWER_WITHIN):
            while True:
                found, problems = await self.health()
                if found == status:
                    return problems
                await asyncio.sleep(0.05)

    def lines(self, event_name: str) -> list[str]:
        return [f"{line['work']}" for line in self.logged if line["event"] == event_name]


@pytest.fixture
async def serving(
    clinic: Edge, unused_tcp_port: int, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[Serving]:
    monkeypatch.setenv("UNDERWING_LISTEN", f"127.0.0.1:{unused_tcp_port}")
    impatient(clinic.store)
    monkeypatch.setattr(workers, "log", structlog.wrap_logger(None))
    stopping = asyncio.Event()
    with capture_logs() as logged:
        task = asyncio.create_task(serve.run_parts(clinic.parts, load_settings(), stopping))
        yield Serving(clinic, f"http://127.0.0.1:{unused_tcp_port}", task, logged)
        stopping.set()
        await asyncio.wait_for(task, timeout=ANSWER_WITHIN)


@TROUBLES
async def test_serving_goes_on_by_itself_after_the_database_was_away(
    serving: Serving, trouble: Trouble
) -> None:
    edge, mum = serving.edge, serving.edge.server.people[MUM]
    await serving.until_health(200)
    with trouble(edge.store):
        mum.say("/help")
        problems = await serving.until_health(503)
        assert problems["database"].startswith("does not answer (")
        await asyncio.sleep(1.5)  # several tries of every part
        assert not serving.task.done()
    answer = await mum.next_message(timeout=ANSWER_WITHIN)
    await serving.until_health(200)

    assert "/today" in answer.text
    for work in ("writing", "reading"):
        assert serving.lines("database does not answer").count(work) <= 1, "told once, not at every try"
    assert not [line for line in serving.logged if "exc_info" in line], "no traceback"


@TROUBLES
async def test_a_database_that_is_away_costs_no_update_one_of_its_tries(
    clinic: Edge, trouble: Trouble
) -> None:
    clinic.server.people[MUM].say("10 min")
    await clinic.parts.intake.poll_once()
    for _ in range(7):  # more than the tries an update has
        with trouble(impatient(clinic.store)), pytest.raises(DatabaseAway):
            await clinic.parts.handler.handle_waiting()
    assert await clinic.parts.handler.handle_waiting() == 1
    with clinic.store.read() as uow:
        assert uow.inbox.counts() == {"done": 1}


@pytest.mark.parametrize(("database", "trouble"), [("sqlite", full)], indirect=["database"])
async def test_a_full_disk_drops_no_reminder(clinic: Edge, trouble: Trouble) -> None:
    await clinic.parts.periodic_jobs.run_all()
    with clinic.store.read() as uow:
        due = uow.reminders.next_due()
        assert due is not None
    clinic.clock.move_to(due)
    with trouble(impatient(clinic.store)):
        await clinic.parts.periodic_jobs.run_all()
    with clinic.store.read() as uow:
        states = set(uow.conn.scalars(reminders.select().with_only_columns(reminders.c.state)))
    assert states == {"planned"}
    await clinic.parts.periodic_jobs.run_all()
    await clinic.send()

    assert clinic.heard(MUM)


@pytest.mark.parametrize(("database", "trouble"), [("postgresql", stopped)], indirect=["database"])
async def test_a_message_whose_way_is_not_known_yet_is_not_taken_for_sent(
    clinic: Edge, trouble: Trouble
) -> None:
    """A change of an earlier message looks that one up first; a database that is away then has sent nothing."""
    first = await clinic.say(OutgoingMessage(chat_id=ChatId(MUM), text="one"))
    await clinic.send()
    row = await clinic.say(MessageEdit(chat_id=ChatId(MUM), text="two", edits=OutboxId(first)))
    sender = clinic.parts.sender
    with clinic.store.write() as uow:
        out = uow.deliveries.claim([row], lease_until=0.0)[0]
    with trouble(impatient(clinic.store)):
        outcome = await sender._attempt(out)

    assert outcome.meaning == "not_sent"
