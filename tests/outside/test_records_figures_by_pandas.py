"""From what people did in the chat to the digest's JSON: every figure computed again from the raw tables with pandas.

A scripted week runs through the real bot over HTTP; the tables are then read as rows, and no code of the digest, of the
facts or of the log is used for the second computation. The rules are those of the specification of the digest's JSON:
what is not known is null, never 0; days are the family's local dates.
"""

from __future__ import annotations

import random
import sqlite3
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from cryptography.fernet import Fernet

from bot.digest.week import digest_of
from bot.domain.ids import FamilyId
from bot.storage import migrate
from bot.storage.encryption import Encryption
from bot.storage.reports.facts import facts_of
from bot.storage.sealed_types import EncryptedText, LookupWord
from bot.storage.store import Store
from bot.storage.tables import metadata
from demo.messaging import Limits, MessagingServer
from tests.journeys.conftest import CASELOAD, MONDAY, House, make_house

FIRST = date(2026, 3, 2)
WEEK = [FIRST + timedelta(days=n) for n in range(7)]
HALIFAX = "America/Halifax"
TARGETS = {"tummy_time": 40, "football_hold": 15}
AWAKE_A_DAY = 8 * 60  # four spans of two hours
PRONE = ["tummy_time", "lap_tummy_time", "chest_tummy_time", "forearm_carry"]


@pytest.fixture
async def house(tmp_path: Path) -> AsyncIterator[House]:
    path = tmp_path / "world.db"
    store = Store.open(f"sqlite:///{path}", Encryption(Fernet.generate_key().decode()))
    migrate.upgrade(store)
    async with MessagingServer(limits=Limits.off()) as server:
        async for house in make_house(store, server, CASELOAD, MONDAY):
            yield house
    store.close()


async def live_a_week(house: House, seed: int) -> None:
    """Let two carers answer reminders in plain ways, by tap and by word, with edits, undone taps and two silent days."""
    choose = random.Random(seed)
    silent = set(choose.sample(range(7), 2))
    for n in range(7):
        for hour in (9, 12, 16, 19):
            await house.at(hour, 20, day=n)
            if n in silent:
                continue
            reminder = next((m for m in reversed(house.heard(house.mum)) if "Later" in m.labels()), None)
            minutes = choose.randint(2, 20)
            match choose.randrange(7):
                case 0 if reminder is not None:
                    house.mum.press(reminder.labels()[0], message_id=reminder.message_id)
                case 1:
                    house.mum.say(f"{minutes} min")
                case 2:
                    house.grandpa.say(f"{minutes} min")
                case 3:
                    said = house.mum.say(f"{minutes} min")
                    await house.settle()
                    house.mum.edit(said, f"{minutes + 3} min")
                case 4:
                    house.mum.say(f"{minutes} min")
                    await house.settle()
                    if "Undo" in house.last(house.mum).labels():
                        house.mum.press("Undo", message_id=house.last(house.mum).message_id)
                case 5 if reminder is not None:
                    house.mum.press("Asleep", message_id=reminder.message_id)
                case _:
                    house.mum.say("10 min, turned right")
            await house.settle()
    await house.at(23, 59, day=6)


def table(house: House, name: str) -> pd.DataFrame:
    """Return a table as it is stored, what is sealed opened."""
    with closing(sqlite3.connect(house.store.engine.url.database or "")) as database:
        found = pd.read_sql_query(f"SELECT * FROM {name}", database)
    for column in metadata.tables[name].columns:
        if isinstance(column.type, EncryptedText | LookupWord):
            kind, dialect = column.type, house.store.engine.dialect
            found[column.name] = [kind.process_result_value(each, dialect) for each in found[column.name]]
    return found


def local_dates(instants: pd.Series) -> pd.Series:
    """Turn stored UTC instants into the family's dates."""
    return pd.to_datetime(instants, format="ISO8601", utc=True).dt.tz_convert(HALIFAX).dt.date


def known_days(house: House) -> set[date]:
    """Return the days on which anybody wrote or pressed a button of a reminder."""
    messages, reminders = table(house, "messages"), table(house, "reminders")
    closed = reminders[reminders.state.isin(["answered", "later", "skipped"])]
    sessions = table(house, "sessions")
    counted = sessions[sessions.state == "counted"]
    seen = {*local_dates(messages["at"]), *local_dates(closed.closed_at)}
    return (seen | {date.fromisoformat(d) for d in counted.local_date}) & set(WEEK)


def expected_activities(house: House, known: set[date]) -> list[dict[str, Any]]:
    sessions = table(house, "sessions")
    counted = sessions[(sessions.state == "counted") & sessions.activity.notna()]
    rows = []
    for activity, target in TARGETS.items():
        mine = counted[counted.activity == activity]
        sides = mine.assign(side=mine.side.fillna("none")).groupby("side").minutes.sum()
        rows.append(
            {
                "activity": activity,
                "target_minutes": target * 7,
                "minutes": mine.minutes.sum() if known else None,
                "left": sides.get("left", 0.0),
                "right": sides.get("right", 0.0),
                "unsided": sides.get("none", 0.0),
                "sessions": len(mine),
                "days_with_any": mine.local_date.nunique(),
            }
        )
    return rows


@pytest.mark.parametrize("seed", [1, 2, 3])
async def test_every_figure_of_a_lived_week_can_be_computed_again_from_the_raw_tables(
    house: House, seed: int
) -> None:
    await live_a_week(house, seed)
    with house.store.read() as uow:
        family = uow.families.find(FamilyId("f1"))
        assert family is not None
        digest = digest_of(facts_of(uow, family, house.clock.now(), last=WEEK[-1], days=7)).as_json()
    known = known_days(house)
    reminders, skips, seen = (table(house, name) for name in ("reminders", "skips", "observations"))
    sessions = table(house, "sessions")
    counted = sessions[sessions.state == "counted"]
    states = Counter(reminders[reminders.sent_at.notna() & (reminders.state != "dropped")].state)
    prone = counted[counted.activity.isin(PRONE)].minutes.sum()

    assert len(counted) > 4
    assert [{k: pytest.approx(v) for k, v in row.items() if k != "activity"} for row in expected_activities(house, known)] == [
        {k: v for k, v in row.items() if k != "activity"} for row in digest["activities"]
    ]  # fmt: skip
    assert digest["prone"]["minutes"] == pytest.approx(prone)
    assert digest["prone"]["awake_minutes"] == AWAKE_A_DAY * len(known)
    assert digest["prone"]["share"] == pytest.approx(prone / (AWAKE_A_DAY * len(known)))
    assert digest["prompts"] == {
        "sent": states.total(),
        "answered": states["answered"],
        "later": states["later"],
        "skipped": states["skipped"],
        "expired": states["expired"],
    }
    assert digest["skips"] == dict(Counter(skips.reason))
    assert {(o["kind"], o["side"]): o["count"] for o in digest["observations"]} == dict(
        Counter(zip(seen.kind, seen.side, strict=True))
    )
    assert digest["days_without_word"] == 7 - len(known)
    names = {"c1": "Mum", "c2": "Grandpa"}
    by_carer = counted.groupby("carer_id").minutes.agg(["size", "sum"])
    assert {c["carer"]: (c["entries"], c["minutes"]) for c in digest["carers"]} == {
        name: (int(by_carer.loc[carer, "size"]), by_carer.loc[carer, "sum"]) if carer in by_carer.index else (0, None)
        for carer, name in names.items()
    }  # fmt: skip
