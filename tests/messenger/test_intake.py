"""Updates are stored before they are confirmed, whatever they hold."""

from __future__ import annotations

from sqlalchemy import select

from bot.storage.tables import inbox as table
from demo.messaging import Fault
from tests.messenger.conftest import Edge


async def stored(edge: Edge) -> list[int]:
    with edge.store.read() as uow:
        return list(uow.conn.scalars(select(table.c.update_id).order_by(table.c.seq)))


async def test_an_update_is_confirmed_only_after_it_is_stored(edge: Edge) -> None:
    edge.sam.say("10 min")
    await edge.parts.intake.poll_once()
    assert len(await stored(edge)) == 1
    assert edge.server.record.confirmed == {}
    await edge.parts.intake.poll_once()

    assert list(edge.server.record.confirmed) == await stored(edge)


async def test_an_update_handed_over_twice_is_stored_once(edge: Edge) -> None:
    edge.server.faults.add(Fault("handed_twice"))
    edge.sam.say("10 min")
    await edge.parts.intake.poll_once()
    await edge.parts.intake.poll_once()

    assert len(await stored(edge)) == 1


async def test_an_update_that_the_library_cannot_parse_stops_nothing_behind_it(edge: Edge) -> None:
    edge.server.updates.inject({"update_id": 1, "message": {"date": "no date", "chat": 5}})
    edge.sam.say("10 min")
    await edge.parts.intake.poll_once()
    while await edge.parts.handler.handle_waiting():
        pass
    with edge.store.read() as uow:
        counts = uow.inbox.counts()

    assert counts == {"dead": 1, "done": 1}


async def test_an_update_of_an_unknown_kind_is_set_aside_as_handled(edge: Edge) -> None:
    edge.server.updates.inject({"update_id": 1, "something_new": {"id": 3}})
    await edge.parts.intake.poll_once()
    while await edge.parts.handler.handle_waiting():
        pass
    with edge.store.read() as uow:
        counts = uow.inbox.counts()

    assert counts == {"done": 1}
