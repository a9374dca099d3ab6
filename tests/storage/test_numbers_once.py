"""A number that a row had is never another row's: buttons of old messages, which nobody can take back, hold it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import Integer, text

from bot.domain.actor import SERVER
from bot.domain.ids import ChatId, FamilyId
from bot.features import verbs
from bot.storage import erasure, migrate, moving
from bot.storage.encryption import Encryption
from bot.storage.store import Store
from bot.storage.tables import messages, metadata
from tests.conftest import BOTH
from tests.model.world import THERAPISTS, World

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)


def test_the_seen_button_of_an_erased_concern_never_marks_a_new_one() -> None:
    """Family f2's concern comes after f1's is gone; both have the same therapist, whose old message still stands."""
    world = World()
    robin = THERAPISTS["t1"]
    world.says(5001, "her lips are blue")
    old = next(
        button
        for each in world.shown
        if each.chat_id == robin
        for button in each.data
        if button.startswith(verbs.SEEN.name)
    )
    world.within(lambda uow: erasure.erase_family(uow, FamilyId("f1"), NOW, who=SERVER))
    world.says(5003, "her lips are blue")
    world.presses(robin, old, 1)
    again = world.wait(timedelta(minutes=11))

    assert any(each.chat_id == robin and each.kind == "concern" and "Zubenel" in each.said for each in again)


@BOTH
async def test_every_table_counts_its_numbers_apart_from_its_rows(store: Store) -> None:
    numbered = [
        (table, column)
        for table in metadata.sorted_tables
        for column in table.primary_key
        if isinstance(column.type, Integer) and column.autoincrement is True
    ]

    assert len(numbered) > 20
    with store.write() as uow:
        for table, column in numbered:
            if store.embedded:
                written = "SELECT sql FROM sqlite_master WHERE name = :table"
                assert "AUTOINCREMENT" in str(uow.conn.scalar(text(written), {"table": table.name}))
            else:
                counter = text(f"SELECT pg_get_serial_sequence('{table.name}', '{column.name}')")
                assert uow.conn.scalar(counter)


@BOTH
async def test_a_move_goes_on_after_what_was_erased(
    store: Store, tmp_path: Path, encryption: Encryption
) -> None:
    source = Store.open(f"sqlite:///{tmp_path / 'old.db'}", encryption)
    migrate.upgrade(source)
    with source.write() as uow:
        for number in range(3):
            uow.messages.keep(chat_id=ChatId(1), message_id=number, kind="text", text="x", at=NOW)
        uow.conn.execute(messages.delete().where(messages.c.id > 1))
    moving.move(source, store)
    source.close()
    with store.write() as uow:
        assert uow.messages.keep(chat_id=ChatId(1), message_id=7, kind="text", text="x", at=NOW) == 4
