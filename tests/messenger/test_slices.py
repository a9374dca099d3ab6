"""What comes due for many at once is done in short transactions, and not in a burst."""

from __future__ import annotations

import copy
import time
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import func, select

from bot.activities.library import load_library
from bot.domain.ids import FamilyId
from bot.messenger.due_work import SLICE
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.tables import families, outbox, reminders
from bot.storage.tables import inbox as inbox_table
from tests.journeys.conftest import CASELOAD
from tests.messenger.conftest import MUM, NOW, Edge

FAMILIES = 40
OVERDUE = 50_000
# Processor seconds of one slice: what it may begin to do, and the one thing that it was at.
LONGEST = 2 * SLICE


@pytest.fixture
def many(edge: Edge) -> Edge:
    """A clinic of many families whose days are planned."""
    caseload: dict[str, Any] = copy.deepcopy(CASELOAD)
    family = caseload["families"][0]
    caseload["families"] = [
        {
            **family,
            "id": f"f{number}",
            "carers": [{"id": "c1", "chat_id": 6000 + number, "name": "Carer", "consented": True}],
        }
        for number in range(FAMILIES)
    ]
    with edge.store.write() as uow:
        import_caseload.load(uow, caseload_from(caseload, list(load_library()), where="test"), NOW)
        uow.conn.execute(families.update().values(plan_at=NOW + timedelta(days=2)))
    return edge


def add_reminders(edge: Edge, count: int, *, minutes_ago: float, late_after: float = 30) -> None:
    """Plan reminders that were due a while ago, spread over the families; each next one of a family a minute later."""
    due = NOW - timedelta(minutes=minutes_ago)
    rows = [
        {
            "family_id": f"f{number % FAMILIES}",
            "activity": "tummy_time",
            "local_date": date(2026, 3, 2),
            "slot": number,
            "minutes": 5.0,
            "due_at": due + timedelta(minutes=number // FAMILIES % 5),
            "late_after": due + timedelta(minutes=late_after),
            "state": "planned",
        }
        for number in range(count)
    ]
    with edge.store.write() as uow:
        uow.conn.execute(reminders.insert(), rows)


def timed(edge: Edge, monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Note the processor seconds of each write transaction."""
    taken: list[float] = []
    in_write = edge.parts.workers._in_write

    def noting(work: Callable[[Any], Any]) -> Any:
        began = time.thread_time()
        try:
            return in_write(work)
        finally:
            taken.append(time.thread_time() - began)

    monkeypatch.setattr(edge.parts.workers, "_in_write", noting)
    return taken


def job(edge: Edge, name: str) -> Callable[[], Any]:
    return next(each.do for each in edge.parts.periodic_jobs.all() if each.name == name)


async def test_fifty_thousand_overdue_reminders_never_hold_the_write_lock_for_long(
    many: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_reminders(many, OVERDUE, minutes_ago=120)
    taken = timed(many, monkeypatch)
    for _ in range(3):
        began = time.monotonic()
        assert await job(many, "remind")()
        assert time.monotonic() - began < 10, "a run ends, whatever is left"

    assert len(taken) > 3
    assert sorted(taken)[-2] < LONGEST  # the very first fills the caches of the library
    with many.store.read() as uow:
        dropped = uow.conn.scalar(select(func.count()).where(reminders.c.state == "dropped"))
        assert dropped
        assert uow.conn.scalar(select(func.count()).select_from(outbox)) == 0


async def test_days_are_planned_a_few_families_a_transaction(
    many: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    with many.store.write() as uow:
        uow.conn.execute(families.update().values(plan_at=NOW))
    taken = timed(many, monkeypatch)
    while (await many.parts.periodic_jobs.next_due() or NOW) <= NOW:
        assert await job(many, "plan")()

    assert len(taken) > 3
    with many.store.read() as uow:
        assert uow.conn.scalar(select(func.count()).where(reminders.c.state == "planned"))


async def test_of_what_an_outage_piled_up_a_family_hears_the_last_alone(many: Edge) -> None:
    add_reminders(many, 3 * FAMILIES, minutes_ago=10)
    while (await many.parts.periodic_jobs.next_due() or NOW) <= NOW:
        assert await job(many, "remind")()
        assert await job(many, "plan")()

    with many.store.read() as uow:
        rows = uow.conn.execute(
            select(outbox.c.chat_id, func.count().label("said"))
            .where(outbox.c.kind == "reminder", outbox.c.action == "send")
            .group_by(outbox.c.chat_id)
        )
        heard = {row.chat_id: row.said for row in rows}
    assert heard == dict.fromkeys(range(6000, 6000 + FAMILIES), 1)


async def test_one_family_that_fails_holds_back_no_other(many: Edge, monkeypatch: pytest.MonkeyPatch) -> None:
    from bot.features.reminders import replanning, sending

    plan, send = replanning.plan_family, sending.send

    def broken_plan(context: Any, family_id: str) -> None:
        if family_id == "f0":
            raise RuntimeError("broken on purpose")
        plan(context, FamilyId(family_id))

    def broken_send(context: Any, reminder: Any, *rest: Any) -> int:
        if reminder.family_id == "f0":
            raise RuntimeError("broken on purpose")
        return send(context, reminder, *rest)

    monkeypatch.setattr(replanning, "plan_family", broken_plan)
    monkeypatch.setattr(sending, "send", broken_send)
    add_reminders(many, FAMILIES, minutes_ago=0)
    with many.store.write() as uow:
        uow.conn.execute(families.update().values(plan_at=NOW))
    await many.parts.periodic_jobs.run_all()
    await many.parts.periodic_jobs.run_all()

    with many.store.read() as uow:
        heard = set(uow.conn.scalars(select(outbox.c.chat_id).where(outbox.c.kind == "reminder")))
        assert uow.families.to_plan(NOW, limit=FAMILIES) == []
    assert heard == set(range(6001, 6000 + FAMILIES))


async def test_tidying_up_forgets_old_rows_a_part_at_a_time(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = NOW - timedelta(days=40)
    update = {"message": {"chat": {"id": MUM}, "text": "x"}}
    with clinic.store.write() as uow:
        uow.inbox.keep([{"update_id": n, **update} for n in range(1, 1001)], old)
        uow.conn.execute(inbox_table.update().values(state="done"))
    taken = timed(clinic, monkeypatch)
    await job(clinic, "upkeep")()

    assert len(taken) >= 5
    with clinic.store.read() as uow:
        assert uow.inbox.counts() == {"done": 1}
        assert uow.inbox.last_update_id() == 1000
