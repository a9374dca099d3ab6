"""How long a therapist's digest takes from the records, and how that grows with the caseload.

    python -m tests.benchmarks.digest_records [families …]        (10 20 40 80 unless told)

Each family has four weeks behind it: six reminders a day, four of them answered with a message and a session, an
observation a day, a concern and a question a week. Prints seconds of each step. The aim: 40 families in under 10 s,
charts and document included.
"""

from __future__ import annotations

import copy
import random
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from time import perf_counter
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet
from sqlalchemy import insert

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.domain.ids import FamilyId, TherapistId
from bot.domain.rendering import DigestRequest, DocumentRequest, PageRequest
from bot.features.digests import send
from bot.features.routing.render_routes import gather
from bot.features.routing.router import Router
from bot.parsing.period import encoded
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from bot.storage.tables import concerns, messages, observations, questions, reminders, sessions
from bot.storage.unit_of_work import UnitOfWork
from tests.journeys.conftest import CASELOAD

ZONE = ZoneInfo("America/Halifax")
START = datetime(2026, 2, 9, 6, tzinfo=ZONE)
DAYS = 28
T = TypeVar("T")


def fill(uow: UnitOfWork, families: int) -> None:
    """Load the caseload and write four weeks of rows for each family."""
    caseload: dict[str, Any] = copy.deepcopy(CASELOAD)
    family = caseload["families"][0]
    caseload["families"] = []
    for n in range(families):
        one = copy.deepcopy(family)
        one["id"] = f"f{n}"
        one["plan"]["baby"]["nickname"] = f"Baby {n}"
        one["carers"] = [{"id": "c1", "chat_id": 5000 + n, "name": "Mum", "consented": True}]
        caseload["families"].append(one)
    import_caseload.load(uow, caseload_from(caseload, list(load_library()), where="benchmark"), START)
    chance = random.Random(families)
    numbers = {"message": 0, "reminder": 0}
    rows: dict[Any, list[dict[str, Any]]] = {t: [] for t in (messages, reminders, sessions, observations, concerns, questions)}  # fmt: skip
    for n in range(families):
        for day in range(DAYS):
            _one_day(rows, numbers, n, START + timedelta(days=day), chance)
    for table, values in rows.items():
        uow.conn.execute(insert(table), values)


def _one_day(rows: dict[Any, list[dict[str, Any]]], numbers: dict[str, int], n: int, day: datetime, chance: random.Random) -> None:  # fmt: skip
    who = {"family_id": f"f{n}", "carer_id": "c1"}
    for slot in range(6):
        at = day.replace(hour=8) + timedelta(hours=2 * slot)
        numbers["reminder"] += 1
        activity = chance.choice(["tummy_time", "football_hold"])
        side = chance.choice(["left", "right"]) if activity == "football_hold" else None
        done = slot < 4
        rows[reminders].append(
            {
                "id": numbers["reminder"], "family_id": f"f{n}", "activity": activity, "local_date": at.date(),
                "slot": slot + 1, "side": side, "minutes": 10, "due_at": at, "late_after": at, "sent_at": at,
                "state": "answered" if done else "expired", "closed_at": at,
            }
        )  # fmt: skip
        if done:
            numbers["message"] += 1
            key = numbers["message"]
            rows[messages].append(
                who | {"id": key, "chat_id": 5000 + n, "message_id": key, "kind": "text", "text": "10 min", "at": at, "unread": None}
            )  # fmt: skip
            rows[sessions].append(
                who | {
                    "message_id": key, "reminder_id": numbers["reminder"], "activity": activity, "side": side,
                    "minutes": chance.randint(3, 15), "local_date": at.date(), "at": at, "state": "counted", "logged_at": at,
                }
            )  # fmt: skip
    rows[observations].append(
        who | {"message_id": numbers["message"], "kind": "head_turn", "side": "left", "at": day}
    )
    if day.weekday() == n % 7:
        said = {"message_id": numbers["message"], "at": day, "text": "the arm seems tighter this week"}
        rows[concerns].append(
            who | said | {"urgency": "tell_therapist", "topics": ["tighter"], "state": "open"}
        )
        rows[questions].append(who | said | {"kind": "question"})


def timed(name: str, work: Callable[[], T]) -> T:
    start = perf_counter()
    result = work()
    print(f"  {name:<40}{perf_counter() - start:8.3f} s")
    return result


@contextmanager
def filled(families: int) -> Iterator[Store]:
    """Open a store of its own, with a caseload that has four weeks behind it."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store.open(
            f"sqlite:///{Path(folder) / 'many.db'}", Encryption(Fernet.generate_key().decode())
        )
        try:
            migrate.upgrade(store)
            with store.write() as uow:
                fill(uow, families)
            yield store
        finally:
            store.close()


def run(families: int) -> None:
    library = load_library()
    to_at = START + timedelta(days=DAYS)
    with filled(families) as store, store.read() as uow:
        context = Router(SteppedClock(to_at), library).context(uow)
        assert context is not None
        span = encoded(send.week_up_to(context.clinic, to_at))
        requests = (
            DigestRequest(therapist=TherapistId("t1"), language="en", span=span, at=to_at),
            DocumentRequest(therapist=TherapistId("t1"), family=None, language="en", span=span, at=to_at),
            PageRequest(family=FamilyId("f0"), language="en", span=span, at=to_at),
        )
        start = perf_counter()
        for request in requests:
            work = timed(f"{request.kind}: read", partial(gather, context, request))
            assert work is not None
            timed(f"{request.kind}: drawn", partial(work.draw, library))
        print(f"  {'in all':<40}{perf_counter() - start:8.3f} s")


if __name__ == "__main__":
    for count in [int(argument) for argument in sys.argv[1:]] or [10, 20, 40, 80]:
        print(f"{count} families")
        run(count)
