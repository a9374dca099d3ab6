"""Statements that go straight to the database's driver do what SQLAlchemy would have done with them."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from sqlalchemy import Connection, bindparam, insert, select, update

from bot.storage.prepared import Prepared, driver_of
from bot.storage.store import Store
from bot.storage.tables import metadata, outbox
from bot.storage.trouble import why_away
from tests.conftest import BOTH
from tests.storage.listening import statements

NOW = datetime(2026, 3, 2, 12, 0, 0, 123456, tzinfo=UTC)
ROW = {
    "kind": "reply", "chat_id": 5, "action": "send", "payload": {"text": "né", "buttons": [[["a", "b"]]]},
    "about": None, "state": "waiting", "priority": 2, "created_at": NOW,
}  # fmt: skip
PUT = Prepared(insert(outbox))
BY_ID = select(outbox).where(outbox.c.id == bindparam("row"), outbox.c.state != "dropped")
FIND = Prepared(BY_ID)
SET = Prepared(update(outbox).where(outbox.c.id == bindparam("row")))


@BOTH
def test_what_is_written_and_read_is_the_same_by_either_way(store: Store) -> None:
    with store.write() as uow:
        first = PUT.insert(uow.conn, ROW)
        with statements(uow.conn.engine) as seen:
            second = PUT.insert(uow.conn, ROW)
            by_sqlalchemy = FIND.all(uow.conn, {"row": first})
        assert len(seen) == 2, "who listens hears all"
        assert second == first + 1
        assert FIND.all(uow.conn, {"row": first}) == by_sqlalchemy
        assert dict(by_sqlalchemy[0]._mapping).keys() == {column.key for column in outbox.columns}
        found = FIND.first(uow.conn, {"row": second})
        assert found is not None
        assert (found.chat_id, found.payload, found.created_at) == (5, ROW["payload"], NOW)


@BOTH
def test_a_list_may_have_any_length(store: Store) -> None:
    of_ids = Prepared(
        select(outbox.c.id)
        .where(
            outbox.c.chat_id.in_(bindparam("chats", expanding=True)), outbox.c.state.in_(("waiting", "sent"))
        )
        .order_by(outbox.c.id),
        lists=["chats"],
    )
    with store.write() as uow:
        rows = [PUT.insert(uow.conn, {**ROW, "chat_id": chat}) for chat in (5, 6, 7, 6)]
        for chats, wanted in (
            ([5, 6], [0, 1, 3]),
            ([], []),
            ([7], [2]),
            ([5, 7, 8], [0, 2]),
            ([6, 5], [0, 1, 3]),
        ):
            assert [each.id for each in of_ids.all(uow.conn, {"chats": chats})] == [rows[n] for n in wanted]


@BOTH
def test_an_update_sets_what_is_given_and_tells_how_many_rows(store: Store) -> None:
    with store.write() as uow:
        row = PUT.insert(uow.conn, ROW)
        assert SET.change(uow.conn, {"row": row, "state": "sent", "sent_at": NOW, "about": None}) == 1
        assert SET.change(uow.conn, {"row": row + 100, "state": "sent"}) == 0
        found = FIND.first(uow.conn, {"row": row})
        assert found is not None
        assert (found.state, found.sent_at, found.about) == ("sent", NOW, None)
        SET.change(uow.conn, {"row": row, "state": "dropped"})
        assert FIND.first(uow.conn, {"row": row}) is None


@BOTH
def test_it_is_part_of_the_transaction(store: Store) -> None:
    with store.write() as uow:
        assert driver_of(uow.conn) is not None
        with suppress(ZeroDivisionError), uow.savepoint():
            row = PUT.insert(uow.conn, ROW)
            raise ZeroDivisionError
        assert FIND.first(uow.conn, {"row": row}) is None
        kept = PUT.insert(uow.conn, ROW)
    with store.read() as uow:
        assert FIND.first(uow.conn, {"row": kept}) is not None


def _let_references_be(conn: Connection) -> None:
    """Check no reference until this transaction ends, so that a row may be put into any table alone."""
    sqlite = conn.dialect.name == "sqlite"
    conn.exec_driver_sql(
        "PRAGMA defer_foreign_keys=ON" if sqlite else "SET LOCAL session_replication_role = replica"
    )


SAMPLES: dict[str, object] = {
    "Instant": NOW, "EncryptedText": "né", "EncryptedJson": {"a": [1, "é"]}, "EncryptedBytes": b"\x00\xff",
    "LookupChat": -5, "LookupWord": "word", "Boolean": True, "Integer": 7, "BigInteger": 2**40, "Float": 1.5,
    "Date": date(2026, 3, 2), "String": "s", "Text": "t", "JSON": {"a": 1}, "LargeBinary": b"\x01",
}  # fmt: skip


@BOTH
def test_each_tables_row_is_written_and_read_alike(store: Store) -> None:
    with store.read() as uow:  # which ends by a rollback
        conn = uow.conn
        _let_references_be(conn)
        for table in metadata.sorted_tables:
            assert driver_of(conn) is not None
            if table.name == "lookup_keys":
                continue
            row = {column.name: SAMPLES[type(column.type).__name__] for column in table.columns}
            Prepared(insert(table)).change(conn, row)
            read = Prepared(select(table)).all(conn, {})
            with statements(conn.engine):
                assert read == Prepared(select(table)).all(conn, {}), table.name
            assert [dict(each._mapping) for each in read][-1] == row, table.name


@BOTH
def test_what_is_not_there_is_written_and_read_as_none(store: Store) -> None:
    with store.read() as uow:
        conn = uow.conn
        _let_references_be(conn)
        for table in metadata.sorted_tables:
            row = {
                column.name: None if column.nullable else SAMPLES[type(column.type).__name__]
                for column in table.columns
            }
            if table.name != "lookup_keys" and None in row.values():
                Prepared(insert(table)).change(conn, row)
                assert dict(Prepared(select(table)).all(conn, {})[-1]._mapping) == row, table.name


def test_an_instant_is_kept_in_the_same_letters_by_either_way(store: Store) -> None:
    elsewhere = NOW.astimezone(timezone(timedelta(hours=-4))).replace(microsecond=0)
    with store.write() as uow:
        rows = [PUT.insert(uow.conn, {**ROW, "created_at": at}) for at in (NOW, elsewhere)]
        with statements(uow.conn.engine):
            rows += [PUT.insert(uow.conn, {**ROW, "created_at": at}) for at in (NOW, elsewhere)]
        kept = uow.conn.exec_driver_sql("SELECT created_at FROM outbox ORDER BY id").scalars().all()

    assert len(rows) == 4
    assert list(kept[:2]) == list(kept[2:])


def test_what_ails_the_database_is_known_by_the_drivers_own_error(store: Store) -> None:
    with store.write() as uow:
        driver = driver_of(uow.conn)
        assert driver is not None
        driver.execute("PRAGMA query_only=ON")
        with pytest.raises(sqlite3.OperationalError) as caught:
            PUT.insert(uow.conn, ROW)
        driver.execute("PRAGMA query_only=OFF")
    assert why_away(caught.value) is not None


def test_a_partial_index_is_used_without_planning_the_statement_anew(store: Store) -> None:
    waiting = Prepared(
        select(outbox.c.id)
        .where(outbox.c.state == "waiting", outbox.c.kind != "it's")
        .order_by(outbox.c.priority)
    )
    with store.write() as uow:
        row = PUT.insert(uow.conn, ROW)
        driver = driver_of(uow.conn)
        assert driver is not None
        assert [each.id for each in waiting.all(uow.conn, {})] == [row]
        sql = waiting.form(uow.conn.dialect, {}).sql
        plan = driver.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()

    assert "?" not in sql
    assert "'waiting'" in sql and "'it''s'" in sql
    assert "ix_outbox_waiting" in plan[0][3]
