"""A database with one family's week in it, written row by row, for the commands that read it."""

from __future__ import annotations

import asyncio
import copy
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from cryptography.fernet import Fernet
from sqlalchemy import insert

from bot.activities.library import load_library
from bot.records import day, grades, load, log, migrate, visits, worries
from bot.records.caseload import caseload_from
from bot.records.store import Store
from bot.records.tables import confidences, reminders
from bot.records.vault import Vault
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
    length. A worry, an answered question, words that were not read, a confidence, a plan change, a grade, a visit.
    """
    url = f"sqlite:///{folder / 'week.db'}"
    asyncio.run(_fill(url))
    return {"UNDERWING_DATABASE": url, "UNDERWING_KEY": KEY, "UNDERWING_DATA": str(folder)}


async def _fill(url: str) -> None:
    store = await Store.open(url, Vault(KEY))
    await migrate.upgrade(store)
    async with store.write() as conn:
        await load.load(
            conn, caseload_from(copy.deepcopy(CASELOAD), list(load_library()), where="test"), at(0, 6)
        )
        message = 0

        async def said(text: str, when: datetime, carer: str = "c1", **fields: Any) -> int:
            nonlocal message
            message += 1
            kept = await log.keep_message(
                conn,
                chat_id=5001,
                message_id=message,
                kind="text",
                text=text,
                at=when,
                family_id="f1",
                carer_id=carer,
            )
            if fields:
                await log.change_message(conn, kept, **fields)
            return kept

        async def did(text: str, when: datetime, activity: str, minutes: float | None, side: str | None, carer: str = "c1") -> None:  # fmt: skip
            await log.add_session(
                conn, family_id="f1", carer_id=carer, message_id=await said(text, when, carer), reminder_id=None,
                activity=activity, minutes=minutes, side=side, local_date=when.date(), local_at=None, at=when,
                state="counted", logged_at=when,
            )  # fmt: skip

        await did("tummy 12", at(0, 9), "tummy_time", 12, None)
        await did("tummy 8", at(0, 15), "tummy_time", 8, None, "c2")
        await did("football 5 left", at(1, 9), "football_hold", 5, "left")
        await did("football 10 right", at(1, 10), "football_hold", 10, "right")
        await did("did tummy", at(2, 9), "tummy_time", None, None)
        worry = await said("she looks to one side a lot", at(2, 11))
        await worries.add_concern(
            conn, topics=["looks_one_way"], family_id="f1", carer_id="c1", message_id=worry, urgency="tell_therapist",
            text="she looks to one side a lot", state="open", at=at(2, 11),
        )  # fmt: skip
        question = await worries.add_question(
            conn, family_id="f1", carer_id="c2", kind="question", text="¿con ropa?", at=at(2, 12)
        )
        await worries.change_question(conn, question, answered_at=at(2, 13), answer="sí", answered_by="t1")
        await said("mumble mumble", at(3, 8), unread="mumble mumble")
        await log.add_observation(
            conn, family_id="f1", carer_id="c1", message_id=None, kind="head_turn", side="right", at=at(1, 9)
        )
        await log.add_skip(
            conn, family_id="f1", carer_id="c1", reason="asleep", activity="tummy_time", at=at(1, 14)
        )
        rows = [("answered", 9), ("answered", 15), ("skipped", 16), ("later", 17), ("expired", 18)]
        await conn.execute(
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
        await conn.execute(
            insert(confidences),
            [
                {"family_id": "f1", "carer_id": "c1", "activity": "football_hold", "asked_at": at(n, 8), "at": at(n, 9), "value": value}
                for n, value in ((0, 5), (3, 8))
            ],
        )  # fmt: skip
        version = await day.plan_of(conn, "f1")
        assert version is not None
        document = copy.deepcopy(version.document)
        document["activities"][0]["target"] = {"minutes": 30}
        await day.add_plan(conn, "f1", document, made_by="t1", now=at(3, 12), note="Less, more often")
        grade = {"elbow_flexion": 4, "shoulder_abduction": 3}
        await grades.add_grades(
            conn, "f1", scale="ams", values=grade, on=MONDAY, entered_by="t1", now=at(0, 12)
        )
        await visits.add_visit(conn, "f1", at=at(10, 10), minutes=45, note=None, made_by="t1", now=at(0, 12))
    await store.close()
