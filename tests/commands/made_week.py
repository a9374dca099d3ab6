"""A database with one family's week in it, written row by row, for the commands that read it."""

from __future__ import annotations

import asyncio
import copy
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet
from sqlalchemy import insert

from bot.activities.library import load_library
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, ChatId, FamilyId, MessageId, TherapistId
from bot.storage import import_caseload, migrate
from bot.storage.caseload_file import caseload_from
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from bot.storage.tables import confidences, reminders
from scheduling.sides import Side
from tests.journeys.conftest import CASELOAD

HALIFAX = ZoneInfo("America/Halifax")
MONDAY = date(2026, 3, 2)
KEY = Fernet.generate_key().decode()


def at(day_of_week: int, hour: int, minute: int = 0) -> datetime:
    first = datetime(2026, 3, 2, tzinfo=HALIFAX)
    return (first + timedelta(days=day_of_week)).replace(hour=hour, minute=minute)


def make_week(folder: Path) -> dict[str, str]:
    """Make the database in a folder and return the environment that names it.

    Monday: 12 and 8 minutes on the tummy, Tuesday: football hold 5 left and 10 right, Wednesday: a session of unknown
    length. A concern, an answered question, words that were not read, a confidence, a plan change, a grade, a visit.
    """
    url = f"sqlite:///{folder / 'week.db'}"
    asyncio.run(_fill(url))
    return {"UNDERWING_DATABASE": url, "UNDERWING_KEY": KEY, "UNDERWING_DATA": str(folder)}


async def _fill(url: str) -> None:
    store = Store.open(url, Encryption(KEY))
    migrate.upgrade(store)
    with store.write() as uow:
        import_caseload.load(
            uow, caseload_from(copy.deepcopy(CASELOAD), list(load_library()), where="test"), at(0, 6)
        )
        message = 0

        async def said(text: str, when: datetime, carer: str = "c1", unread: str | None = None) -> int:
            nonlocal message
            message += 1
            kept = uow.messages.keep(
                chat_id=ChatId(5001),
                message_id=message,
                kind="text",
                text=text,
                at=when,
                family_id=FamilyId("f1"),
                carer_id=CarerId(carer),
            )
            if unread is not None:
                uow.messages.set_unparsed(kept, unread)
            return kept

        async def did(text: str, when: datetime, activity: str, minutes: float | None, side: Side | None, carer: str = "c1") -> None:  # fmt: skip
            uow.entries.add(family_id=FamilyId("f1"), carer_id=CarerId(carer), message_id=MessageId(await said(text, when, carer)), reminder_id=None,
                activity=activity, minutes=minutes, side=side, local_date=when.date(), local_at=None, at=when,
                state="counted", logged_at=when,
            )  # fmt: skip

        await did("tummy 12", at(0, 9), "tummy_time", 12, None)
        await did("tummy 8", at(0, 15), "tummy_time", 8, None, "c2")
        await did("football 5 left", at(1, 9), "football_hold", 5, "left")
        await did("football 10 right", at(1, 10), "football_hold", 10, "right")
        await did("did tummy", at(2, 9), "tummy_time", None, None)
        concern = await said("she looks to one side a lot", at(2, 11))
        uow.concerns.add(topics=["looks_one_way"], family_id=FamilyId("f1"), carer_id=CarerId("c1"), message_id=MessageId(concern), urgency="tell_therapist",
            text="she looks to one side a lot", at=at(2, 11),
        )  # fmt: skip
        question = uow.questions.add(
            family_id=FamilyId("f1"), carer_id=CarerId("c2"), kind="question", text="¿con ropa?", at=at(2, 12)
        )
        uow.questions.answer(question, "sí", by="t1", now=at(2, 13))
        await said("mumble mumble", at(3, 8), unread="mumble mumble")
        uow.observations.add(
            family_id=FamilyId("f1"),
            carer_id=CarerId("c1"),
            message_id=None,
            kind="head_turn",
            side="right",
            at=at(1, 9),
        )
        uow.observations.add_skip(
            family_id=FamilyId("f1"),
            carer_id=CarerId("c1"),
            reason="asleep",
            activity="tummy_time",
            at=at(1, 14),
        )
        rows = [("answered", 9), ("answered", 15), ("skipped", 16), ("later", 17), ("expired", 18)]
        uow.conn.execute(
            insert(reminders),
            [
                {
                    "family_id": "f1", "activity": "tummy_time", "local_date": MONDAY, "slot": slot + 1, "minutes": 10,
                    "due_at": at(0, hour), "late_after": at(0, hour, 30), "state": state, "sent_at": at(0, hour),
                    "closed_at": at(0, hour, 20),
                }
                for slot, (state, hour) in enumerate(rows)
            ],
        )  # fmt: skip
        uow.conn.execute(
            insert(confidences),
            [
                {"family_id": "f1", "carer_id": "c1", "activity": "football_hold", "asked_at": at(n, 8), "at": at(n, 9), "value": value}
                for n, value in ((0, 5), (3, 8))
            ],
        )  # fmt: skip
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        document = copy.deepcopy(version.document)
        document["activities"][0]["target"] = {"minutes": 30}
        uow.plans.add(
            FamilyId("f1"),
            document,
            made_by=Actor.therapist(TherapistId("t1")),
            now=at(3, 12),
            note="Less, more often",
        )
        grade = {"elbow_flexion": 4, "shoulder_abduction": 3}
        uow.scale_scores.add(
            FamilyId("f1"), scale="ams", values=grade, on=MONDAY, entered_by="t1", now=at(0, 12)
        )
        uow.visits.add(FamilyId("f1"), at=at(10, 10), minutes=45, note=None, made_by="t1", now=at(0, 12))
    store.close()
