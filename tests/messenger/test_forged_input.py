"""What nobody's app would send is kept out or does no harm, and what comes with it is handled all the same."""

from __future__ import annotations

import json

import pytest

from bot.domain.ids import TherapistId
from bot.errors import InputProblem
from bot.messenger.web import SECRET_HEADER
from bot.settings import load_settings
from bot.storage.store import Store
from tests.conftest import BOTH
from tests.messenger.conftest import MUM, Edge
from tests.messenger.test_database_away import TROUBLES, Trouble, impatient
from tests.messenger.test_web import SECRET, UPDATE, client

HUGE = 2**70


@BOTH
@pytest.mark.parametrize(
    "forged",
    [
        {"message": {"message_id": 1, "date": 1, "chat": {"id": HUGE, "type": "private"}, "text": "10 min"}},
        {"message": {"message_id": HUGE, "date": 1, "chat": {"id": 5, "type": "private"}, "text": "10 min",
                     "from": {"id": HUGE, "is_bot": False, "first_name": "x"}}},
        {"message": {"message": "text"}},
        {"callback_query": {"id": "1", "message": "text", "from": {"id": True}}},
    ],
)  # fmt: skip
async def test_numbers_that_no_database_holds_keep_nothing_back(
    clinic: Edge, forged: dict[str, object]
) -> None:
    clinic.server.updates.inject({"update_id": 1, **forged})
    clinic.server.people[MUM].say("/help")
    await clinic.parts.intake.poll_once()
    while await clinic.parts.handler.handle_waiting():
        pass
    await clinic.send()

    assert "/today" in clinic.heard(MUM)[-1]


async def test_words_of_an_update_that_cannot_be_read_reach_the_therapist_without_what_nobody_sees(
    clinic: Edge,
) -> None:
    forged = {
        "message_id": 77, "date": "no date", "chat": {"id": MUM, "type": "private"}, "text": "she is gr\x00ey \u202ehelp",
    }  # fmt: skip
    clinic.server.updates.inject({"update_id": 1, "message": forged})
    await clinic.parts.intake.poll_once()
    while await clinic.parts.handler.handle_waiting():
        pass
    await clinic.send()

    assert any("she is grey help" in text for text in clinic.heard(9001))


async def test_an_update_with_a_number_too_large_is_refused(edge: Edge) -> None:
    async with client(edge) as caller:
        answer = await caller.post("/webhook", json={"update_id": HUGE}, headers={SECRET_HEADER: SECRET})

    assert answer.status_code == 400


@BOTH
async def test_a_name_with_marks_that_nobody_sees_joins_without_them(clinic: Edge) -> None:
    store: Store = clinic.store
    with store.write() as uow:
        code = uow.invitations.invite(now=clinic.clock.now(), therapist_id=TherapistId("t1"))
    guest = clinic.server.people.add(66, "Ro\x00b\u202ein")
    guest.say(f"/start {code}\x00\u202e")
    guest.say("10 m\x00in\u202e")
    await clinic.parts.intake.poll_once()
    while await clinic.parts.handler.handle_waiting():
        pass
    with store.read() as uow:
        counts = uow.inbox.counts()

    assert counts == {"done": 2}


@TROUBLES
async def test_the_webhook_asks_for_an_update_again_while_the_database_is_away(
    edge: Edge, trouble: Trouble
) -> None:
    async with client(edge) as caller:
        with trouble(impatient(edge.store)):
            away = await caller.post("/webhook", json=UPDATE, headers={SECRET_HEADER: SECRET})
        back = await caller.post("/webhook", json=UPDATE, headers={SECRET_HEADER: SECRET})

    assert (away.status_code, back.status_code) == (503, 200)


def test_a_secret_that_is_wrong_is_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERWING_WEBHOOK_SECRET", "not a secret of the right form!")
    with pytest.raises(InputProblem) as refused:
        load_settings()

    assert "UNDERWING_WEBHOOK_SECRET" in str(refused.value)
    assert "right form" not in str(refused.value)
    assert "right form" not in json.dumps(refused.value.problems)
