"""An arm that may be hurt is not exercised on until the therapist says so."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator

import pytest

from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.looking import rows_of


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload = copy.deepcopy(two_therapists())
    caseload["families"][0]["plan"]["activities"].append(
        {"activity": "head_turning", "target": {"minutes": 6}, "session": [3, 3], "side": "affected"}
    )
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=6)):
        yield house


def reminders(house: House, activity: str, after: int) -> list[str]:
    return [
        each.text for each in house.heard(house.mum)[after:] if activity in each.text and "min" in each.text
    ]


async def test_no_arm_reminder_comes_until_go_on(house: House) -> None:
    await house.to_first_reminder()
    await say(house, house.mum, "she cries when I touch the bad arm since this morning")
    assert told(house, house.mum, "The arm may hurt")
    alert = told(house, house.robin, "she cries when I touch")[-1]
    assert "On hold until you press Go on or change the plan" in alert.text and "Go on" in alert.labels()
    assert all(not message.labels() or "Done" not in message.labels() for message in house.heard(house.mum))

    before = len(house.heard(house.mum))
    await house.at(19, 30, day=1)
    assert reminders(house, "Tummy time", before) == []
    assert reminders(house, "Head turning", before) != []

    await press(house, house.robin, "Go on", on=alert.message_id)
    assert "can start again" in told(house, house.mum, "can start again")[-1].text
    before = len(house.heard(house.mum))
    await house.at(19, 30, day=2)
    assert reminders(house, "Tummy time", before) != []
    notes = await rows_of(house, "notes")
    assert [each.kind for each in notes if each.kind in ("held", "go_on")] == ["held", "go_on"]
