"""Inbox, outbox and leases, on both databases."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import select, text

from bot.domain.outgoing import LONGEST_TEXT, Attachment, Button, OutgoingMessage, visible_length
from bot.storage.repositories.inbox import MOST_ATTEMPTS
from bot.storage.store import Store
from bot.storage.tables import messages
from tests.conftest import BOTH

pytestmark = BOTH

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def update(update_id: int, chat_id: int = 5) -> dict[str, Any]:
    return {
        "update_id": update_id,
        "message": {"message_id": update_id, "chat": {"id": chat_id}, "text": "héllo"},
    }


async def take(store: Store) -> int | None:
    with store.write() as uow:
        stored = uow.inbox.next_waiting(real_now=1000.0)
        if stored is None:
            return None
        uow.inbox.done(stored.seq)
        return stored.update_id


async def test_an_update_that_comes_twice_is_kept_once(store: Store) -> None:
    with store.write() as uow:
        assert uow.inbox.keep([update(1), update(2), update(1)], NOW) == 2
        assert uow.inbox.keep([update(2), update(3)], NOW) == 1

    assert [await take(store) for _ in range(4)] == [1, 2, 3, None]


async def test_ids_that_start_anew_after_a_quiet_week_go_on_from_the_newest(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(900)], NOW)
        uow.inbox.keep([update(17)], NOW)

        assert uow.inbox.last_update_id() == 17


async def test_a_failed_update_holds_back_its_own_chat_only(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(1, chat_id=5), update(2, chat_id=5), update(3, chat_id=6)], NOW)
        first = uow.inbox.next_waiting(real_now=1000.0)
        assert first is not None
        uow.inbox.failed(first.seq, error="broke", retry_at=2000.0)

    assert await take(store) == 3
    assert await take(store) is None


async def test_an_update_that_keeps_failing_is_set_apart_and_shown(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(1)], NOW)
        given_up = [uow.inbox.failed(1, error="broke", retry_at=0.0) for _ in range(MOST_ATTEMPTS)]
        dead = uow.inbox.dead()

    assert given_up == [False] * (MOST_ATTEMPTS - 1) + [True]
    assert dead == [(1, "broke")]


async def test_two_workers_never_take_the_same_update(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(n, chat_id=n) for n in range(1, 41)], NOW)

    async def worker() -> list[int]:
        taken = []
        while (got := await take(store)) is not None:
            taken.append(got)
        return taken

    results = await asyncio.gather(*(worker() for _ in range(4)))
    # A worker may find every row held by another and stop early; what is left is taken afterwards.
    rest = await worker()

    assert sorted([*(n for result in results for n in result), *rest]) == list(range(1, 41))


async def test_what_may_be_said_once_is_kept_once(store: Store) -> None:
    with store.write() as uow:
        first = uow.outbox.put(OutgoingMessage(chat_id=5, text="a", key="reminder:1:c1"), NOW)
        second = uow.outbox.put(OutgoingMessage(chat_id=5, text="a", key="reminder:1:c1"), NOW)

    assert first is not None
    assert second is None


async def test_the_most_pressing_goes_first_and_a_claimed_row_goes_to_one(store: Store) -> None:
    with store.write() as uow:
        for kind in ("digest", "reminder", "reply", "concern"):
            uow.outbox.put(OutgoingMessage(chat_id=5, text=kind, kind=kind), NOW)
        waiting = uow.outbox.waiting(real_now=1.0, limit=10)
        claimed = uow.outbox.claim([row_id for row_id, _, _ in waiting], lease_until=50.0)
        again = uow.outbox.claim([row_id for row_id, _, _ in waiting], lease_until=50.0)

    assert [kind for _, _, kind in waiting] == ["concern", "reply", "reminder", "digest"]
    assert [out.payload["text"] for out in claimed] == ["concern", "reply", "reminder", "digest"]
    assert again == []


async def test_after_a_crash_a_reminder_is_given_up_and_the_rest_is_said_again(store: Store) -> None:
    with store.write() as uow:
        for kind in ("digest", "reminder", "reply", "concern"):
            uow.outbox.put(OutgoingMessage(chat_id=5, text=kind, kind=kind), NOW)
        uow.outbox.put(OutgoingMessage(chat_id=5, press="q1", kind="press"), NOW)
        ids = [row_id for row_id, _, _ in uow.outbox.waiting(real_now=1.0, limit=10)]
        uow.outbox.claim(ids, lease_until=50.0)
        assert uow.outbox.sweep(real_now=49.0) == 0
        assert uow.outbox.sweep(real_now=51.0) == 5
        waiting = uow.outbox.waiting(real_now=51.0, limit=10)
        again = uow.outbox.claim([row_id for row_id, _, _ in waiting], lease_until=90.0)
        counts = uow.outbox.counts()

    assert [out.kind for out in again] == ["concern", "reply", "digest"]
    assert all(out.repeat for out in again)
    assert counts["unknown"] == 2


@pytest.mark.parametrize("words", ["x" * 9000, "😀" * 4096, "line\n" * 2000, "<i>" + "&amp;" * 5000 + "</i>"])
async def test_a_text_too_long_for_one_message_is_cut_with_nothing_lost(store: Store, words: str) -> None:
    with store.write() as uow:
        uow.outbox.put(OutgoingMessage(chat_id=5, text=words, buttons=((Button("Seen", "seen:1"),),)), NOW)
        ids = [row_id for row_id, _, _ in uow.outbox.waiting(real_now=1.0, limit=20)]
        parts = uow.outbox.claim(ids, lease_until=1.0)

    assert len(parts) > 1
    assert all(visible_length(part.payload["text"]) <= LONGEST_TEXT for part in parts)
    plain = "".join(part.payload["text"] for part in parts).replace("\n", "")
    for tag in ("<i>", "</i>"):
        plain, words = plain.replace(tag, ""), words.replace(tag, "")
    assert plain == words.replace("\n", "")
    assert [bool(part.payload.get("buttons")) for part in parts] == [False] * (len(parts) - 1) + [True]


async def test_a_caption_too_long_follows_its_picture_as_text(store: Store) -> None:
    with store.write() as uow:
        picture = Attachment("picture", "week.png", content=b"png")
        uow.outbox.put(OutgoingMessage(chat_id=5, text="y" * 2000, attachment=picture), NOW)
        ids = [row_id for row_id, _, _ in uow.outbox.waiting(real_now=1.0, limit=20)]
        parts = uow.outbox.claim(ids, lease_until=1.0)

    assert [(part.action, len(part.payload["text"])) for part in parts] == [("picture", 0), ("send", 2000)]


async def test_one_process_leads_until_its_lease_runs_out(store: Store) -> None:
    with store.write() as uow:
        assert uow.leases.hold("lead", "a", real_now=100.0, seconds=10)
        assert not uow.leases.hold("lead", "b", real_now=105.0, seconds=10)
        assert uow.leases.hold("lead", "a", real_now=108.0, seconds=10)
        assert not uow.leases.hold("lead", "b", real_now=117.0, seconds=10)
        assert uow.leases.hold("lead", "b", real_now=119.0, seconds=10)
        uow.leases.give_up("b")
        assert uow.leases.hold("lead", "a", real_now=119.0, seconds=10)


async def test_free_text_at_rest_cannot_be_read_without_the_key(store: Store) -> None:
    secret = "she cries when I touch the arm"
    with store.write() as uow:
        uow.conn.execute(messages.insert().values(chat_id=5, message_id=1, kind="text", text=secret, at=NOW))
        uow.outbox.put(OutgoingMessage(chat_id=5, text=secret), NOW)
        uow.inbox.keep([{**update(1), "note": secret}], NOW)
        stored = [
            bytes((uow.conn.execute(text(query))).scalar_one())
            for query in ("SELECT text FROM messages", "SELECT payload FROM outbox", "SELECT raw FROM inbox")
        ]
        opened = uow.conn.scalar(select(messages.c.text))

    assert all(secret.encode() not in sealed for sealed in stored)
    assert opened == secret


async def test_instants_come_back_aware_and_in_utc(store: Store) -> None:
    later = datetime(2026, 3, 8, 3, 30, tzinfo=UTC) + timedelta(minutes=1)
    with store.write() as uow:
        uow.conn.execute(messages.insert().values(chat_id=5, message_id=1, kind="text", at=later))
        back = uow.conn.scalar(select(messages.c.at))

    assert back == later
    assert back is not None
    assert back.utcoffset() == timedelta(0)
