"""Drawing outside of any transaction: nobody waits for it, and what was asked for comes once, whatever happens."""

from __future__ import annotations

import asyncio
import copy
import gc
import os
import signal
import time
from collections.abc import AsyncIterator, Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from bot.activities.library import load_library
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, ChatId, FamilyId, OutboxId
from bot.domain.outgoing import Attachment, Button, Drawn, MessageEdit, OutgoingMessage, ToSay, row
from bot.domain.rendering import SheetRequest, WeekRequest
from bot.domain.subject import Subject
from bot.features.routing.render_routes import Work, gather
from bot.messenger.drawing import Drawer
from bot.messenger.renderer import MOST_ATTEMPTS
from bot.messenger.serve import load_for_good
from bot.phrases import words_for
from bot.storage import erasure
from bot.storage.encryption import Encryption, key_in
from bot.storage.repositories.renderings import Taken
from bot.storage.store import Store
from bot.storage.tables import outbox, therapists
from demo.messaging import Limits, MessagingServer
from tests.conftest import BOTH
from tests.journeys.conftest import CASELOAD, MONDAY, House, make_house
from tests.journeys.serving import ServedBot

NOON = MONDAY.replace(hour=12)
WEEK = WeekRequest(family=FamilyId("f1"), language="en", at=NOON)


class HeldDrawer(Drawer):
    """Draws when it is let, and says when it has begun."""

    def __init__(self) -> None:
        super().__init__(load_library(), in_process=False)
        self.begun, self.let = asyncio.Event(), asyncio.Event()

    async def draw(self, work: Work) -> tuple[Drawn, ...]:
        self.begun.set()
        await self.let.wait()
        return await super().draw(work)


class FailingDrawer(Drawer):
    def __init__(self) -> None:
        super().__init__(load_library(), in_process=False)

    async def draw(self, work: Work) -> tuple[Drawn, ...]:
        raise RuntimeError("no ink")


@pytest.fixture
async def server() -> AsyncIterator[MessagingServer]:
    async with MessagingServer(limits=Limits.off()) as server:
        yield server


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, copy.deepcopy(CASELOAD), MONDAY):
        yield house


async def handle(house: House) -> None:
    """Take in and act on what people did, and send what waits; draw nothing."""
    await house.rehearsal.parts.intake.poll_once(0)
    while await house.rehearsal.parts.handler.handle_waiting():
        pass
    await house.rehearsal._send_all()


async def until(holds: Callable[[], bool]) -> None:
    """Wait for what the database will hold, at most 40 seconds."""
    for _ in range(4000):
        if holds():
            return
        await asyncio.sleep(0.01)
    raise AssertionError("it did not come")


def put(store: Store, say: ToSay, **when: Any) -> int:
    with store.write() as uow:
        row_id = uow.outbox.put(say, NOON, **when)
    assert row_id is not None
    return row_id


def take(store: Store, *, lease_until: float = 1e12) -> Taken | None:
    with store.write() as uow:
        return uow.renderings.take(real_now=time.time(), lease_until=lease_until)


def fill(store: Store, taken: Taken, *drawn: Drawn) -> bool:
    with store.write() as uow:
        return uow.renderings.fill(taken, drawn, NOON)


def rows(store: Store) -> list[Any]:
    with store.read() as uow:
        return list(uow.conn.execute(select(outbox).order_by(outbox.c.id)))


# ---------------------------------------------------------------- nobody waits


async def test_a_concern_is_answered_within_a_second_while_a_digest_is_drawn(house: House) -> None:
    parts, drawer = house.rehearsal.parts, HeldDrawer()
    parts.renderer.drawer = drawer
    house.grandpa.say("hola")  # the first message of a process compiles what it is read with
    await handle(house)
    house.robin.say("/digest")
    await handle(house)
    drawing = asyncio.create_task(parts.renderer.render_one())
    await drawer.begun.wait()

    assert house.store.engine.pool.checkedout() == 0  # type: ignore[attr-defined]
    before = time.process_time()  # a busy machine must not fail this; a lock would hold it for ever
    house.mum.say("his lips are blue")
    await handle(house)
    took = time.process_time() - before
    assert "555 0199" in " ".join(house.texts(house.mum))
    assert "lips are blue" in " ".join(house.texts(house.robin))
    assert took < 1.0
    assert not drawing.done()

    drawer.let.set()
    await drawing
    await handle(house)
    assert house.last(house.robin).kind == "photo"


async def test_a_typed_request_is_told_that_it_is_being_made_and_a_press_in_its_note(house: House) -> None:
    house.robin.say("/digest")
    await handle(house)
    assert house.last(house.robin).text == words_for("en").plain("edge.making")
    await house.settle()
    house.robin.press("Document (PDF)")
    await house.settle()

    calls = house.server.record.calls
    notes = [call.params.get("text") for call in calls if call.method == "answercallbackquery"]
    assert notes == [words_for("en").plain("edge.making")]
    assert house.last(house.robin).kind == "document"


# ---------------------------------------------------------------- once, whatever happens


async def test_what_a_process_had_taken_when_it_died_is_made_after_the_next_start(house: House) -> None:
    parts, drawer = house.rehearsal.parts, HeldDrawer()
    parts.renderer.drawer = drawer
    await house.at(17, 59, day=6)
    house.clock.advance(timedelta(minutes=2))
    await parts.periodic_jobs.run_all()
    dying = asyncio.create_task(parts.renderer.render_one())
    await drawer.begun.wait()
    dying.cancel()
    await asyncio.gather(dying, return_exceptions=True)
    parts.renderer.drawer = Drawer(load_library(), in_process=False)
    assert not await parts.renderer.render_one()  # its lease stands

    stopping = asyncio.Event()
    running = asyncio.create_task(parts.renderer.run(stopping))
    await until(lambda: all(row.state != "rendering" for row in rows(house.store)))
    stopping.set()
    parts.renderer.wake.set()
    await running
    await house.settle()
    digests = [message for message in house.heard(house.robin) if "Week at a glance" in message.text]
    assert len(digests) == 1


@pytest.mark.timeout(100)
async def test_killed_while_the_digest_is_drawn_it_goes_out_once_after_a_restart(tmp_path: Path) -> None:
    start = datetime.fromisoformat("2026-03-08T18:01:00-03:00")
    async with MessagingServer(limits=Limits.off()) as server:
        robin = server.people.add(9001, "Robin")
        async with ServedBot(tmp_path, server.base_url, clock=(start, 1)) as bot:
            await bot.load(copy.deepcopy(CASELOAD))
            store = Store.open(f"sqlite:///{tmp_path}/underwing.db", Encryption(key_in(tmp_path)))
            try:
                with store.write() as uow:
                    last = start.replace(hour=18, minute=0) - timedelta(days=7)
                    uow.conn.execute(therapists.update().values(digest_until=last))
                await bot.start()
                await until(lambda: any(row.state == "rendering" and row.lease_until for row in rows(store)))
                await bot.kill()
                assert [row.state for row in rows(store) if row.kind == "digest"] == ["rendering"]
            finally:
                store.close()
            await bot.start()
            await server.people.until(
                lambda: any("Week at a glance" in m.text for m in robin.messages(by_bot=True)), timeout=40
            )
            assert await bot.stop() == 0, bot.log()[-2000:]

        sent = [call for call in server.record.sent() if "Week at a glance" in str(call.params)]
        assert len(sent) == 1


@BOTH
async def test_one_that_is_taken_is_not_taken_again_before_its_lease_is_over(store: Store) -> None:
    put(store, OutgoingMessage(chat_id=ChatId(5), render=WEEK))
    first = take(store)
    assert first is not None
    assert take(store) is None

    with store.write() as uow:
        uow.renderings.free_all()
    second = take(store, lease_until=2e12)
    assert second is not None
    assert (second.id, second.attempts) == (first.id, 2)
    assert not fill(store, first, Drawn("from the one that was given up"))
    assert fill(store, second, Drawn("once"))
    assert not fill(store, second, Drawn("twice"))
    assert [(row.state, row.payload["text"]) for row in rows(store)] == [("waiting", "once")]


async def test_a_request_that_cannot_be_read_does_not_keep_back_the_next(store: Store) -> None:
    put(store, OutgoingMessage(chat_id=ChatId(5), render=WEEK))
    put(store, OutgoingMessage(chat_id=ChatId(5), render=WEEK))
    with store.write() as uow:
        changed = {"text": "", "render": {"kind": "of another release"}}
        uow.conn.execute(outbox.update().where(outbox.c.id == 1).values(payload=changed))
    taken = take(store)

    assert taken is not None
    assert taken.id == 2
    assert [row.state for row in rows(store)] == ["failed", "rendering"]


async def test_a_key_that_waits_to_be_drawn_is_not_asked_for_again(store: Store) -> None:
    put(store, OutgoingMessage(chat_id=ChatId(5), key="digest:1", render=WEEK))
    with store.write() as uow:
        assert uow.outbox.put(OutgoingMessage(chat_id=ChatId(5), key="digest:1", render=WEEK), NOON) is None


async def test_what_was_read_before_an_erasure_is_thrown_away_and_read_anew(house: House) -> None:
    house.grandpa.say("the red ball is his friend")
    await house.settle()
    before = len(house.heard(house.robin))
    house.robin.say("/digest pip")
    await handle(house)
    taken = take(house.store)
    assert taken is not None
    with house.store.write() as uow:
        erasure.erase_carer(uow, FamilyId("f1"), CarerId("c2"), house.clock.now(), who=Actor("server"))

    assert not fill(house.store, taken, Drawn("Grandpa: the red ball is his friend"))
    await house.settle()
    page = "\n".join(house.texts(house.robin)[before:])
    assert "Pip" in page
    assert "Grandpa" not in page and "red ball" not in page


async def test_a_family_that_was_erased_meanwhile_is_not_drawn(house: House) -> None:
    house.robin.say("/handout pip")
    await handle(house)
    with house.store.write() as uow:
        erasure.erase_family(uow, FamilyId("f1"), house.clock.now(), who=Actor("server"))
    before = len(house.heard(house.robin))
    await house.settle()

    assert len(house.heard(house.robin)) == before
    left = [row for row in rows(house.store) if row.state == "dropped"]
    assert [row.payload for row in left] == [{"text": ""}] * len(left)


async def test_what_cannot_be_drawn_is_tried_again_and_said_in_the_end(house: House) -> None:
    parts = house.rehearsal.parts
    parts.renderer.drawer = FailingDrawer()
    house.mum.say("/week")
    await handle(house)
    before = len(house.heard(house.mum))
    for _ in range(MOST_ATTEMPTS):
        assert await parts.renderer.render_one()
        assert not await parts.renderer.render_one()  # it waits a while
        with house.store.write() as uow:
            uow.conn.execute(outbox.update().values(retry_at=0.0))
    await handle(house)

    (told,) = house.heard(house.mum)[before:]
    assert told.text == "Something went wrong, so I could not make it. Please ask for it again."


# ---------------------------------------------------------------- where it goes


async def test_what_is_drawn_takes_the_place_of_its_request_and_the_rest_follows(store: Store) -> None:
    row_id = put(
        store,
        OutgoingMessage(
            chat_id=ChatId(5), about=Subject.family(FamilyId("f1")), family=FamilyId("f1"), render=WEEK
        ),
    )
    put(store, OutgoingMessage(chat_id=ChatId(5), text="said meanwhile"))
    taken = take(store)
    assert taken is not None
    picture = Attachment("picture", "week.png", content=b"png")
    buttons = (row(Button("Where from?", "from:1")),)
    fill(store, taken, Drawn(attachment=picture), Drawn("first part"), Drawn("last part", buttons))

    found = rows(store)
    assert found[0].id == row_id
    assert [row.payload["text"] for row in found] == ["", "said meanwhile", "first part", "last part"]
    assert [row.action for row in found] == ["picture", "send", "send", "send"]
    assert [row.about for row in found] == ["family:f1/", None, "family:f1/", "family:f1/"]
    assert "buttons" in found[3].payload and "buttons" not in found[2].payload


async def test_a_caption_too_long_for_a_picture_follows_it_with_the_buttons(store: Store) -> None:
    put(store, OutgoingMessage(chat_id=ChatId(5), kind="digest", render=WEEK))
    taken = take(store)
    assert taken is not None
    picture = Attachment("picture", "week.png", content=b"png")
    fill(store, taken, Drawn("word " * 300, (row(Button("Pip", "page:1")),), picture))

    first, second = rows(store)
    assert (first.action, first.payload["text"]) == ("picture", "")
    assert (second.action, second.kind) == ("send", "digest")
    assert second.payload["buttons"] == [[["Pip", "page:1"]]]


async def test_a_message_can_be_changed_while_it_is_drawn(store: Store) -> None:
    row_id = put(store, OutgoingMessage(chat_id=ChatId(5), text="caption", render=WEEK))
    taken = take(store)
    assert taken is not None
    new = MessageEdit(chat_id=ChatId(5), text="another", edits=OutboxId(row_id))
    assert put(store, new) == row_id
    fill(store, taken, Drawn("drawn text", (row(Button("Old", "old:1")),)))

    (only,) = rows(store)
    assert only.payload == {"text": "another"}


@pytest.mark.parametrize(("hours", "state"), [(1, "held"), (-1, "waiting")])
async def test_quiet_time_holds_what_is_drawn_until_it_is_over(store: Store, hours: int, state: str) -> None:
    put(store, OutgoingMessage(chat_id=ChatId(5), render=WEEK), held_until=NOON + timedelta(hours=hours))
    assert rows(store)[0].state == "rendering"
    taken = take(store)
    assert taken is not None
    fill(store, taken, Drawn("by day"))

    assert rows(store)[0].state == state


# ---------------------------------------------------------------- the process


async def test_a_process_draws_the_same_as_a_thread_and_one_that_died_is_replaced(house: House) -> None:
    with house.store.read() as uow:
        context = house.rehearsal.parts.router.context(uow)
        assert context is not None
        asked = SheetRequest(family=FamilyId("f1"), language="en", name="plan.pdf", at=NOON)
        work = gather(context, asked)
    assert work is not None
    library = load_library()
    drawer, here = Drawer(library), Drawer(library, in_process=False)
    try:
        assert await drawer.draw(work) == await here.draw(work)
        assert drawer._pool is not None
        (process,) = drawer._pool._processes
        assert process != os.getpid()
        os.kill(process, signal.SIGKILL)
        with pytest.raises(OSError, match="gone"):
            await drawer.draw(work)
        assert await drawer.draw(work) == await here.draw(work)
    finally:
        drawer.close()
        here.close()


async def test_where_no_process_can_be_started_a_thread_draws(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*args: object, **named: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr("multiprocessing.context.SpawnProcess.start", refused)
    with house.store.read() as uow:
        context = house.rehearsal.parts.router.context(uow)
        assert context is not None
        work = gather(context, WEEK)
    assert work is not None
    drawer = Drawer(load_library())
    try:
        (drawn,) = await drawer.draw(work)
    finally:
        drawer.close()
    assert drawn.attachment is not None and (drawn.attachment.content or b"").startswith(b"\x89PNG")


def test_what_is_loaded_for_good_is_no_longer_searched_for_garbage() -> None:
    try:
        load_for_good()
        gc.collect()
        assert len(gc.get_objects()) < gc.get_freeze_count() / 10
    finally:
        gc.unfreeze()
