"""Inbox, outbox and leases, on both databases."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import select, text

from bot.domain.ids import ChatId
from bot.domain.outgoing import (
    LONGEST_TEXT,
    Attachment,
    Button,
    Kind,
    OutgoingMessage,
    PressAnswer,
    visible_length,
)
from bot.storage.store import Store
from bot.storage.tables import messages, therapists
from tests.conftest import BOTH

pytestmark = BOTH

KINDS: tuple[Kind, ...] = ("digest", "reminder", "reply", "concern")
NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def update(update_id: int, chat_id: int = 5) -> dict[str, Any]:
    return {
        "update_id": update_id,
        "message": {"message_id": update_id, "chat": {"id": chat_id}, "text": "héllo"},
    }


async def take(store: Store) -> int | None:
    with store.write() as uow:
        taken = uow.inbox.take(real_now=1000.0, limit=1, strangers=1)
        uow.inbox.done(taken)
        return taken[0].update_id if taken else None


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
        uow.inbox.failed(1, error="broke", retry_at=2000.0)

    assert await take(store) == 3
    assert await take(store) is None


async def test_an_update_that_is_given_up_is_set_apart_and_shown(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(1)], NOW)
        uow.inbox.set_aside(1, "broke")

        assert uow.inbox.dead() == [(1, "broke")]
    assert await take(store) is None


async def test_what_may_hold_a_concern_is_taken_first_with_what_its_chat_wrote_before(store: Store) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(n, chat_id=5) for n in range(1, 9)], NOW)
        uow.inbox.keep([update(n, chat_id=6) for n in range(9, 12)], NOW, urgent={10})

    assert [await take(store) for _ in range(4)] == [9, 10, 11, 1]


async def test_a_concern_passes_what_failed_before_it_in_its_chat_and_the_rest_keeps_its_order(
    store: Store,
) -> None:
    with store.write() as uow:
        uow.inbox.keep([update(1), update(2), update(3), update(4)], NOW, urgent={3})
        uow.inbox.failed(1, error="broke", retry_at=2000.0)

    assert [await take(store) for _ in range(2)] == [3, None]
    with store.write() as uow:
        again = uow.inbox.take(real_now=3000.0, limit=5, strangers=5)
    assert [stored.update_id for stored in again] == [1]


async def test_each_chat_has_its_turn_and_strangers_come_last_and_few(store: Store) -> None:
    with store.write() as uow:
        uow.conn.execute(therapists.insert().values(id="t1", name="Robin", chat_id=8))
        uow.inbox.keep([update(n, chat_id=5) for n in range(1, 5)], NOW)
        uow.inbox.keep([update(5, chat_id=6), update(6, chat_id=7), update(7, chat_id=8)], NOW, urgent={6})
        taken = uow.inbox.take(real_now=1.0, limit=10, strangers=2)

    assert [stored.update_id for stored in taken] == [6, 7, 5]


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
        first = uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="a", key="reminder:1:c1"), NOW)
        second = uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="a", key="reminder:1:c1"), NOW)

    assert first is not None
    assert second is None


async def test_the_most_pressing_goes_first_and_a_claimed_row_goes_to_one(store: Store) -> None:
    with store.write() as uow:
        for chat_id, kind in enumerate(KINDS):
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(chat_id), text=kind, kind=kind), NOW)
        waiting = uow.deliveries.waiting(real_now=1.0, limit=10)
        claimed = uow.deliveries.claim([each.id for each in waiting], lease_until=50.0)
        again = uow.deliveries.claim([each.id for each in waiting], lease_until=50.0)

    assert [each.kind for each in waiting] == ["concern", "reply", "reminder", "digest"]
    assert [out.payload["text"] for out in claimed] == ["concern", "reply", "reminder", "digest"]
    assert again == []


async def test_after_a_crash_a_reminder_is_given_up_and_the_rest_is_said_again(store: Store) -> None:
    with store.write() as uow:
        for chat_id, kind in enumerate(KINDS):
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(chat_id), text=kind, kind=kind), NOW)
        uow.outbox.put(PressAnswer(chat_id=ChatId(9), press="q1"), NOW)
        ids = [each.id for each in uow.deliveries.waiting(real_now=1.0, limit=10)]
        uow.deliveries.claim(ids, lease_until=50.0)
        assert uow.deliveries.sweep(real_now=49.0) == 0
        assert uow.deliveries.sweep(real_now=51.0) == 5
        waiting = uow.deliveries.waiting(real_now=51.0, limit=10)
        again = uow.deliveries.claim([each.id for each in waiting], lease_until=90.0)
        counts = uow.outbox.counts()

    assert [out.kind for out in again] == ["concern", "reply", "digest"]
    assert all(out.repeat for out in again)
    assert counts["unknown"] == 2


async def test_of_each_chat_the_first_goes_and_strangers_go_last(store: Store) -> None:
    with store.write() as uow:
        uow.conn.execute(therapists.insert().values(id="t1", name="Robin", chat_id=8))
        for number in range(300):
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text=str(number)), NOW)
        for text_ in ("first", "second"):
            uow.outbox.put(OutgoingMessage(chat_id=ChatId(8), text=text_, kind="reminder"), NOW)
        waiting = uow.deliveries.waiting(real_now=1.0, limit=200)

    assert [(each.chat_id, each.stranger) for each in waiting] == [(8, False), (5, True)]


async def test_what_failed_holds_its_place_in_its_chat_for_a_while(store: Store) -> None:
    with store.write() as uow:
        first = uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="first"), NOW)
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="second"), NOW)
        concern = uow.outbox.put(OutgoingMessage(chat_id=ChatId(6), text="concern", kind="concern"), NOW)
        assert first is not None
        uow.deliveries.claim([first], lease_until=1.0)
        uow.deliveries.retry(first, at=100.0)
        held = [each.id for each in uow.deliveries.waiting(real_now=99.0, limit=9)]
        again = [each.id for each in uow.deliveries.waiting(real_now=100.0, limit=9)]

    assert held == [concern]
    assert again == [concern, first]


async def test_a_retry_set_before_the_clock_went_back_is_not_waited_for(store: Store) -> None:
    with store.write() as uow:
        row_id = uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="first"), NOW)
        assert row_id is not None
        uow.deliveries.retry(row_id, at=100_000.0)

        assert uow.deliveries.waiting(real_now=99_000.0, limit=9) == []
        assert [each.id for each in uow.deliveries.waiting(real_now=13_000.0, limit=9)] == [row_id]


@pytest.mark.parametrize("words", ["x" * 9000, "😀" * 4096, "line\n" * 2000, "<i>" + "&amp;" * 5000 + "</i>"])
async def test_a_text_too_long_for_one_message_is_cut_with_nothing_lost(store: Store, words: str) -> None:
    with store.write() as uow:
        uow.outbox.put(
            OutgoingMessage(chat_id=ChatId(5), text=words, buttons=((Button("Seen", "seen:1"),),)), NOW
        )
        parts = uow.deliveries.claim(range(1, 21), lease_until=1.0)

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
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text="y" * 2000, attachment=picture), NOW)
        parts = uow.deliveries.claim(range(1, 21), lease_until=1.0)

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
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), text=secret), NOW)
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
