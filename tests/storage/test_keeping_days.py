"""What is past the days that the clinic set is gone: from the tables, the file, its journal and an export; nothing else is."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Table, func, insert, select, update
from typer.testing import CliRunner

from bot.activities.library import load_library
from bot.commands.all import app
from bot.domain.ids import ChatId, FamilyId
from bot.domain.keeping import Keeping
from bot.messenger.installation import opened
from bot.settings import load_settings
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.keeping import LOG, MESSAGES, forget
from bot.storage.store import Store
from bot.storage.tables import audit, chats, concerns, families, inbox, messages, metadata, sessions
from bot.storage.unit_of_work import UnitOfWork
from demo.rehearsal import OneThread
from tests.conftest import BOTH
from tests.journeys.conftest import CASELOAD
from tests.journeys.raw_bytes import bytes_of, files_of, sealed_pieces

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
OLD, YOUNG = NOW - timedelta(days=101), NOW - timedelta(days=99)
ALL = Keeping(messages=100, log=100, concerns=100, strangers=100, discharged=100)
F1, MUM, STRANGER = FamilyId("f1"), ChatId(5001), ChatId(7001)
# The treatment's record and what runs it stay as long as the family; a spell stands only while a concern is unseen.
WITH_THE_FAMILY = {
    *("carers", "grades", "handovers", "hold_notes", "invitations", "materials", "plan_drafts", "plans"),
    "unseen_spells",
}
APART = {"audit", "chats", "outbox"}
# What the columns of any table are filled with that must hold something.
VALUES = {
    "family_id": F1, "carer_id": "c1", "therapist_id": "t1", "thread": "letter:1", "chat_id": MUM, "kind": "text",
    "text": "marmalade", "state": "counted", "reason": "tired", "what": "told_asleep", "data": {}, "minutes": 5,
    "made_by": "t1", "activity": "tummy_time", "suggestion": {}, "slot": 1, "urgency": "same_day", "topics": ["fever"],
}  # fmt: skip
STATES = {"reminders": "answered", "concerns": "answered", "suggestions": "no"}


def put(uow: UnitOfWork, table: Table, at: datetime, **given: object) -> None:
    values: dict[str, object] = {}
    for column in table.c:
        if column.name in given:
            values[column.name] = given[column.name]
        elif column.name == "local_date":
            values[column.name] = at.date()
        elif str(column.type) == "DATETIME" and not column.nullable:
            values[column.name] = at
        elif column.name == "message_id":
            values[column.name] = None if column.foreign_keys else (NOW - at).days
        elif not (column.nullable or column.primary_key or column.server_default):
            values[column.name] = VALUES[column.name]
    if table.name in STATES:
        values.setdefault("state", STATES[table.name])
        values["state"] = given.get("state", STATES[table.name])
    uow.conn.execute(insert(table).values(values))


def fill(uow: UnitOfWork) -> None:
    """Load a family, and put an old and a young row into each table whose rows have days."""
    import_caseload.load(uow, caseload_from(CASELOAD, list(load_library()), where="test"), OLD)
    for at in (OLD, YOUNG):
        for table in [*MESSAGES, *LOG, concerns]:
            put(uow, table, at, text=f"marmalade {(NOW - at).days}", told_at=at)


def let_go(uow: UnitOfWork, keeping: Keeping) -> None:
    while forget(uow, keeping, NOW):
        pass


def counts(uow: UnitOfWork) -> dict[str, int]:
    return {
        table.name: int(uow.conn.scalar(select(func.count()).select_from(table)) or 0)
        for table in metadata.sorted_tables
    }


@BOTH
async def test_what_is_past_its_days_goes_and_what_is_younger_stays(store: Store) -> None:
    with store.write() as uow:
        fill(uow)
        before = counts(uow)
        let_go(uow, Keeping())
        assert counts(uow) == before, "without a setting all stays"
        let_go(uow, ALL)
        after = counts(uow)

    gone = {table.name for table in [*MESSAGES, *LOG, concerns]}
    assert {name for name, count in after.items() if count != before[name]} == gone
    assert {after[name] for name in gone} == {1}


def test_every_table_of_a_family_has_days_or_stays_with_it() -> None:
    of_a_family = {table.name for table in metadata.sorted_tables if "family_id" in table.c} - APART
    with_days = {table.name for table in [*MESSAGES, *LOG, concerns]}

    assert with_days & WITH_THE_FAMILY == set()
    assert of_a_family == with_days | WITH_THE_FAMILY


@BOTH
async def test_minutes_outlive_the_message_and_the_reminder_that_they_came_from(store: Store) -> None:
    with store.write() as uow:
        fill(uow)
        first = uow.conn.scalar(select(func.min(messages.c.id)))
        uow.conn.execute(
            update(sessions).where(sessions.c.at == YOUNG).values(message_id=first, reminder_id=1)
        )
        let_go(uow, ALL)
        left = uow.conn.execute(select(sessions.c.message_id, sessions.c.reminder_id)).all()

    assert [tuple(row) for row in left] == [(None, None)]


@pytest.mark.parametrize(
    "stays",
    [
        {"state": "open"},
        {"state": "asked"},
        {"state": "seen", "topics": ["arm_bigger"]},
        {"state": "answered", "ask_how_at": NOW},
    ],
    ids=["unseen", "asked about", "holds the arm", "its carer is to be asked"],
)
async def test_a_concern_that_is_not_over_stays_however_old_it_is(
    store: Store, stays: dict[str, object]
) -> None:
    with store.write() as uow:
        fill(uow)
        put(uow, concerns, OLD - timedelta(days=400), text="kumquat", **stays)
        let_go(uow, ALL)

        assert "kumquat" in uow.conn.scalars(select(concerns.c.text)).all()


@BOTH
async def test_a_family_is_erased_when_its_discharge_is_so_long_ago(store: Store) -> None:
    with store.write() as uow:
        fill(uow)
        uow.families.discharge(F1, YOUNG)
        let_go(uow, ALL)
        assert counts(uow)["families"] == 1
        uow.conn.execute(update(families).values(discharged_at=OLD))
        let_go(uow, ALL)

        assert (counts(uow)["families"], counts(uow)["sessions"]) == (0, 0)
        assert "family erased" in uow.conn.scalars(select(audit.c.what)).all()


async def test_a_strangers_chat_and_what_was_set_aside_go_too(store: Store) -> None:
    with store.write() as uow:
        fill(uow)
        for chat_id in (STRANGER, MUM):
            uow.conn.execute(insert(chats).values(chat_id=chat_id, stranger_told_at=OLD))
        put(uow, inbox, OLD, update_id=1, raw={"text": "kumquat"}, state="dead")
        put(uow, inbox, NOW, update_id=2, raw={}, state="done")
        let_go(uow, ALL)

        assert uow.conn.scalars(select(chats.c.chat_id)).all() == [MUM]
        assert uow.conn.scalars(select(inbox.c.update_id)).all() == [2]


async def test_it_is_gone_from_the_file_and_its_journal_by_the_next_upkeep(store: Store) -> None:
    with store.write() as uow:
        fill(uow)
    old = sealed_pieces(store, F1, [MUM])
    workers = OneThread(store)
    await workers.write(lambda uow: let_go(uow, ALL))
    left = bytes_of(files_of(store))
    gone = old - sealed_pieces(store, F1, [MUM])

    assert len(gone) > 4
    assert [piece for piece in gone if piece in left] == []
    workers.close()


def test_it_is_in_no_export(tmp_path: Path) -> None:
    env_file, caseload = tmp_path / "settings.env", tmp_path / "caseload.json"
    env_file.write_text(
        f"UNDERWING_DATA={tmp_path / 'data'}\nUNDERWING_KEEP_MESSAGES=100\nUNDERWING_KEEP_LOG=100\n"
        "UNDERWING_KEEP_CONCERNS=100\nUNDERWING_KEEP_STRANGERS=\n"
    )
    caseload.write_text(json.dumps(CASELOAD))
    settings = load_settings(env_file)
    assert settings.keeping() == Keeping(messages=100, log=100, concerns=100)
    with opened(settings) as store, store.write() as uow:
        fill(uow)
        let_go(uow, settings.keeping())
    done = CliRunner().invoke(
        app, ["export", "--family", "f1", "--to", str(tmp_path / "out"), "--env-file", str(env_file)]
    )
    exported = b"".join(each.read_bytes() for each in (tmp_path / "out").rglob("*") if each.is_file())

    assert done.exit_code == 0, done.output
    assert b"marmalade 99" in exported
    assert b"marmalade 101" not in exported
