"""What whoever watches is shown: how late, how much waits, how messages are read; and never a person's words."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import httpx
import pytest
from structlog.testing import capture_logs

from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.domain.subject import Subject
from bot.features.routing.router import Router
from bot.messenger.web import make_app
from bot.storage.tables import inbox, reminders
from tests.messenger.conftest import MUM, NOW, ROBIN, Edge

SECRET = "watching-1"
WORD = "zanzibar"  # in everything that a person says here


def said(update_id: int, text: str) -> dict[str, Any]:
    person = {"id": MUM, "is_bot": False, "first_name": WORD, "language_code": "en"}
    chat = {"id": MUM, "type": "private", "first_name": WORD}
    message = {
        "message_id": update_id, "date": int(NOW.timestamp()), "chat": chat, "from": person, "text": f"{text} {WORD}",
    }  # fmt: skip
    return {"update_id": update_id, "message": message}


async def handle(edge: Edge, *updates: dict[str, Any]) -> None:
    with edge.store.write() as uow:
        uow.inbox.keep(updates, NOW)
    while await edge.parts.handler.handle_waiting():
        pass


async def watch(
    edge: Edge, path: str, *, given: str | None = SECRET, asked: str | None = SECRET
) -> httpx.Response:
    parts = edge.parts
    app = make_app(
        parts.workers, parts.clock, parts.metrics,
        secret=None, stored=parts.handler.wake.set, healthy=parts.healthy, watch_secret=asked,
    )  # fmt: skip
    headers = {} if given is None else {"authorization": f"Bearer {given}"}
    async with httpx.AsyncClient(
        transport=httpx.ASGITransport(app=app), base_url="http://here", headers=headers
    ) as caller:
        return await caller.get(path)


def figures(response: httpx.Response) -> dict[str, float]:
    lines = [line.rpartition(" ") for line in response.text.splitlines() if line[:1] not in ("", "#")]
    return {name: float(value) for name, _, value in lines}


async def test_how_messages_are_read_is_counted_once_and_only_when_it_is_kept(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    await handle(clinic, said(1, "12 min of tummy time"), said(2, "her hand is cold and blue"), said(3, "hm"))
    receive = Router.receive

    def breaks_after(self: Router, *given: Any) -> None:
        receive(self, *given)
        raise ValueError(WORD)

    monkeypatch.setattr(Router, "receive", breaks_after)
    await handle(clinic, said(4, "15 min of tummy time"))
    found = figures(await watch(clinic, "/metrics"))

    assert found['underwing_readings_total{kind="entries"}'] == 1
    assert found['underwing_readings_total{kind="concern"}'] == 1
    assert found['underwing_concerns_total{what="raised act_now"}'] == 1
    assert found['underwing_readings_total{kind="nothing"}'] >= 1
    assert found['underwing_updates_handled_total{outcome="failed"}'] == 1


async def test_what_waits_and_for_how_long_is_shown(clinic: Edge) -> None:
    with clinic.store.write() as uow:
        uow.inbox.keep([said(1, "12 min")], NOW)
        uow.outbox.put(OutgoingMessage(chat_id=ChatId(ROBIN), text="words"), NOW)
    clinic.clock.advance(timedelta(seconds=90))
    found = figures(await watch(clinic, "/metrics"))

    assert found["underwing_inbox_oldest_seconds"] == found["underwing_outbox_oldest_seconds"] == 90
    assert found['underwing_inbox{state="new"}'] == 1


async def test_how_late_a_reminder_came_is_measured_from_its_own_time(clinic: Edge) -> None:
    row = {
        "family_id": "f1", "activity": "tummy_time", "local_date": NOW.date(), "slot": 1, "minutes": 5.0,
        "due_at": NOW - timedelta(seconds=40), "late_after": NOW + timedelta(hours=1), "state": "sent",
    }  # fmt: skip
    with clinic.store.write() as uow:
        number = uow.conn.execute(reminders.insert(), row).inserted_primary_key
    assert number is not None
    about = Subject.of("reminder", number[0])
    await clinic.say(OutgoingMessage(chat_id=ChatId(MUM), text="words", kind="reminder", about=about))
    await clinic.send()
    found = figures(await watch(clinic, "/metrics"))

    assert found["underwing_reminder_late_seconds_count"] == 1
    assert found["underwing_reminder_late_seconds_sum"] == 40


@pytest.mark.parametrize("given", [None, "wrong", ""])
async def test_figures_and_details_are_for_whoever_shows_the_secret(edge: Edge, given: str | None) -> None:
    health = await watch(edge, "/health", given=given)

    assert (await watch(edge, "/metrics", given=given)).status_code == 401
    assert (health.status_code, health.json()) == (200, {"ok": True})
    assert (await watch(edge, "/live", given=given)).status_code == 200
    assert set((await watch(edge, "/health")).json()) == {"ok", "problems", "jobs", "untold"}
    assert (await watch(edge, "/metrics", given=None, asked=None)).status_code == 200


async def test_a_persons_words_stand_in_no_log_no_figure_and_no_error_kept(
    clinic: Edge, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(_self: Router, _uow: object, event: Any) -> None:
        raise ValueError(f"cannot read {event.text!r}")

    unparsed = {
        "update_id": 50,
        "message": {"message_id": 1, "date": WORD, "chat": {"id": MUM}, "text": WORD},
    }
    with capture_logs() as captured:
        await handle(clinic, said(1, "10 min tummy"), said(2, "her hand is blue"), unparsed)
        monkeypatch.setattr(Router, "receive", breaks)
        await handle(clinic, said(3, "12 min"))
        await clinic.send()
    lines = [str({**line, "exc_info": None}) for line in captured]
    with clinic.store.read() as uow:
        kept = list(uow.conn.scalars(inbox.select().with_only_columns(inbox.c.error)))

    assert any("update not handled" in line for line in lines)
    assert any(error and re.match(r"ValueError < test_watching.py:\d+ breaks", error) for error in kept)
    told = "\n".join([*lines, *map(str, kept), (await watch(clinic, "/metrics")).text])
    assert WORD not in told
