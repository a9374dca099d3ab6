"""A family whose day starts with a certain reminder, and what the records hold behind the chat."""

from __future__ import annotations

import copy
from typing import Any

from sqlalchemy import Row, select

from bot.storage.tables import families, notes, reminders, sessions, skips
from tests.journeys.conftest import CASELOAD, House


def football_first() -> dict[str, Any]:
    """Return the journeys' caseload with a day that can only begin with the football hold, right side, at 7:37."""
    caseload = copy.deepcopy(CASELOAD)
    plan = caseload["families"][0]["plan"]
    plan["moments"] = {"play": ["07:37", "11:25", "15:05"]}
    plan["activities"] = [
        {
            "activity": "tummy_time",
            "target": {"minutes": 40},
            "session": [5, 10],
            "after_feed": 30,
            "before_feed": 10,
        },
        {
            "activity": "football_hold",
            "target": {"minutes": 15},
            "session": [5, 5],
            "side": "affected",
            "moments": ["play"],
        },
    ]
    return caseload


async def counted(house: House) -> list[tuple[str | None, float | None, str | None]]:
    """Return (activity, minutes, side) of everything that counts, in the order it was logged."""
    with house.store.read() as uow:
        rows = uow.conn.execute(select(sessions).where(sessions.c.state == "counted").order_by(sessions.c.id))
        return [(row.activity, row.minutes, row.side) for row in rows]


async def minutes_counted(house: House) -> list[float]:
    return [minutes for _, minutes, _ in await counted(house) if minutes is not None]


async def rows_of(house: House, name: str) -> list[Row[Any]]:
    table = {"reminders": reminders, "sessions": sessions, "skips": skips, "notes": notes}[name]
    with house.store.read() as uow:
        return list(uow.conn.execute(select(table).order_by(table.c.id)))


async def reminder_states(house: House) -> list[str]:
    """Return what became of each reminder that was sent, in order."""
    return [row.state for row in await rows_of(house, "reminders") if row.sent_at is not None]


async def planned(house: House) -> list[Row[Any]]:
    """Return the reminders still to come, by time."""
    waiting = [row for row in await rows_of(house, "reminders") if row.state == "planned"]
    return sorted(waiting, key=lambda row: row.due_at)


async def family_row(house: House, family_id: str = "f1") -> Row[Any]:
    with house.store.read() as uow:
        return (uow.conn.execute(select(families).where(families.c.id == family_id))).one()
