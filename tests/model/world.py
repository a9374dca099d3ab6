"""A clinic without a messenger: events go in by a plain call, what is said comes out as rows, and every chat's reader is known."""

from __future__ import annotations

import atexit
import copy
import itertools
import json
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event, func, select

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.domain.actor import SERVER
from bot.domain.ids import CarerId, ChatId, FamilyId, TherapistId
from bot.features.context import Context
from bot.features.enrolment import removing
from bot.features.events import ButtonPressed, Edited, Event, TextWritten
from bot.features.plan import announce
from bot.features.routing.router import Router
from bot.messenger.due_work import plan_days, release_held, send_reminders, tidy_up
from bot.messenger.periodic_jobs import notify_concerns
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.repositories.deliveries import Sent
from bot.storage.store import Store
from bot.storage.tables import concerns, outbox, sessions
from bot.storage.unit_of_work import UnitOfWork
from tests.journeys.conftest import CASELOAD, MONDAY

LIBRARY = load_library()
BEGINS = MONDAY.replace(hour=7)
NO_END = float("inf")
KEY = "3q2-7wAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA="  # a test's own

# Family, its therapist, its baby, its carers: names that stand nowhere else.
FAMILIES = {
    "f1": ("t1", "Quillon", ((5001, "Oropendola"), (5002, "Zsofika"))),
    "f2": ("t1", "Zubenel", ((5003, "Mirfak"), (5004, "Tarazed"))),
    "f3": ("t2", "Wezenel", ((5005, "Porrima"),)),
}
THERAPISTS = {"t1": 9001, "t2": 9002}
STRANGER = 7001


def caseload() -> dict[str, Any]:
    made = copy.deepcopy(CASELOAD)
    plan = made["families"][0]["plan"]
    made["therapists"] = [{"id": each, "chat_id": chat, "name": each} for each, chat in THERAPISTS.items()]
    made["families"] = [
        {
            "id": family,
            "therapist": therapist,
            "plan": {**copy.deepcopy(plan), "baby": {**plan["baby"], "nickname": baby}},
            "carers": [
                {"id": f"c{chat}", "chat_id": chat, "name": name, "consented": True} for chat, name in people
            ],
            "prompts_to": [f"c{people[0][0]}"],
        }
        for family, (therapist, baby, people) in FAMILIES.items()
    ]
    return made


@cache
def _begun() -> tuple[Path, Path, Engine]:
    """Make the database with which every life begins; return its file, the file that a life uses, and its engine.

    Once for all lives: making tables and writing statements anew would cost more than a life's steps.
    """
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    template, lived = folder / "template.db", folder / "lived.db"
    store = Store.open(f"sqlite:///{lived}", Encryption(KEY))
    migrate.upgrade(store)
    with store.write() as uow:
        import_caseload.load(uow, caseload_from(caseload(), list(LIBRARY), where="test"), BEGINS)
    store.empty_journal()
    store.close()
    event.listen(store.engine, "connect", _without_waiting_for_the_disk)
    shutil.copyfile(lived, template)
    return template, lived, store.engine


def _without_waiting_for_the_disk(connection: sqlite3.Connection, _record: object) -> None:
    """The machine never goes down here, so that what was committed need not have reached the disk."""
    connection.execute("PRAGMA synchronous=OFF")


class Crash(Exception):
    """The machine stops before the commit."""


@dataclass(frozen=True, slots=True)
class Delivered:
    """What a chat was shown: a message of its own, or a changed one. about: as the outbox marks it."""

    chat_id: ChatId
    message_id: int
    kind: str
    about: str | None
    said: str
    data: tuple[str, ...]
    changed: bool


@dataclass
class World:
    """Everything that runs, without loops and without a network."""

    clock: SteppedClock = field(default_factory=lambda: SteppedClock(BEGINS))
    shown: list[Delivered] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._numbers = itertools.count(100)
        template, lived, engine = _begun()
        engine.dispose()
        for ending in ("-wal", "-shm"):
            Path(f"{lived}{ending}").unlink(missing_ok=True)
        shutil.copyfile(template, lived)
        self.store = Store(engine, Encryption(KEY))
        self.router = Router(self.clock, LIBRARY, bot_name="model", learning=False)

    def restart(self) -> None:
        """Stop and start: only what was committed is left."""
        self.store.close()
        self.store = Store(self.store.engine, Encryption(KEY))

    # ------------------------------------------------------------ what people do

    def next_number(self) -> int:
        return next(self._numbers)

    def says(
        self, chat: int, text: str, *, number: int | None = None, crash: bool = False
    ) -> list[Delivered]:
        written = TextWritten(
            chat_id=ChatId(chat),
            at=self.clock.now(),
            message_id=number or self.next_number(),
            text=text,
            user_name="X",
        )
        return self._receive(written, crash=crash)

    def edits(self, chat: int, message_id: int, text: str) -> list[Delivered]:
        return self._receive(
            Edited(chat_id=ChatId(chat), at=self.clock.now(), message_id=message_id, text=text, user_name="X")
        )

    def presses(self, chat: int, data: str, under: int) -> list[Delivered]:
        return self._receive(
            ButtonPressed(chat_id=ChatId(chat), at=self.clock.now(), message_id=under, data=data, press="p")
        )

    def _receive(self, happened: Event, *, crash: bool = False) -> list[Delivered]:
        return self.within(lambda uow: self.router.receive(uow, happened), crash=crash)

    def within(self, work: Callable[[UnitOfWork], object], *, crash: bool = False) -> list[Delivered]:
        """Do work and deliver what it says, in one transaction; a crash comes before its commit."""
        try:
            with self.store.write() as uow:
                work(uow)
                if crash:
                    raise Crash
                delivered = self._deliver(uow)
        except Crash:
            return []
        self.shown += delivered
        return delivered

    # ------------------------------------------------------------ what time does

    def wait(self, wait: timedelta) -> list[Delivered]:
        self.clock.advance(wait)
        return self.within(self._do_what_is_due)

    def _do_what_is_due(self, uow: UnitOfWork) -> None:
        context = self.context(uow)
        for work in (plan_days, send_reminders, release_held, tidy_up):
            while work(context, NO_END):
                pass
        notify_concerns(context)
        announce.tell_due(context)

    def context(self, uow: UnitOfWork) -> Context:
        found = self.router.context(uow)
        assert found is not None
        return found

    def _deliver(self, uow: UnitOfWork) -> list[Delivered]:
        rows = uow.conn.execute(select(outbox).where(outbox.c.state == "waiting").order_by(outbox.c.id)).all()
        delivered = []
        for row in rows:
            buttons = row.payload.get("buttons", [])
            edits = row.payload.get("edits")
            number = (
                uow.conn.scalar(select(outbox.c.message_id).where(outbox.c.id == edits)) if edits else None
            )
            delivered.append(
                Delivered(
                    row.chat_id,
                    number or next(self._numbers),
                    row.kind,
                    row.about,
                    json.dumps(row.payload, ensure_ascii=False),
                    tuple(data for line in buttons for _label, data in line),
                    number is not None,
                )
            )
        uow.deliveries.sent(
            [Sent(row.id, each.message_id, None) for row, each in zip(rows, delivered, strict=True)],
            self.clock.now(),
        )
        return delivered

    # ------------------------------------------------------------ what is kept

    def kept(self) -> tuple[dict[str, float], list[tuple[str, str]]]:
        """Return the minutes that count by family; and family and words of every concern, in order of their numbers."""
        with self.store.read() as uow:
            minutes = uow.conn.execute(
                select(sessions.c.family_id, func.sum(sessions.c.minutes))
                .where(sessions.c.state == "counted")
                .group_by(sessions.c.family_id)
            )
            raised = uow.conn.execute(select(concerns.c.family_id, concerns.c.text).order_by(concerns.c.id))
            return {row[0]: row[1] for row in minutes}, [(row.family_id, row.text) for row in raised]

    # ------------------------------------------------------------ what the clinic does

    def put_out(self, family: str, chat: int) -> list[Delivered]:
        """Do what the command line does to put a carer out."""

        def work(uow: UnitOfWork) -> None:
            home = uow.families.get(FamilyId(family))
            carer = uow.carers.get(home.id, CarerId(f"c{chat}"))
            removing.put_out_carer(self.context(uow), home, carer, who=SERVER)

        return self.within(work)

    def invite_back(self, family: str, chat: int) -> str:
        """Return the code of a new invitation for a carer who was put out."""
        codes: list[str] = []

        def work(uow: UnitOfWork) -> None:
            codes.append(
                uow.invitations.invite(
                    family_id=FamilyId(family), carer_id=CarerId(f"c{chat}"), now=self.clock.now()
                )
            )

        self.within(work)
        return codes[0]

    def put_out_therapist(self, therapist: str, heir: str) -> list[Delivered]:
        def work(uow: UnitOfWork) -> None:
            leaving, following = (uow.therapists.get(TherapistId(each)) for each in (therapist, heir))
            removing.put_out_therapist(self.context(uow), leaving, following, who=SERVER)

        return self.within(work)
