"""Danger at home: nothing of it shows where others of the home can read it."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.phrases import words_for
from bot.storage.store import Store
from demo.messaging import MessageView, MessagingServer
from tests.journeys.clinic import press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house
from tests.journeys.test_rights import file_of

SAID = "my boyfriend hits me"
REVEALING = ("boyfriend", "hits", "safe place", "danger", "crisis", "concern")


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


def shown(message: MessageView) -> str:
    return " ".join([message.text or "", *message.labels()]).casefold()


async def test_the_answer_comes_once_it_is_opened_and_the_therapist_is_told_to_call(house: House) -> None:
    await say(house, house.mum, SAID)

    assert [word for message in house.heard(house.mum) for word in REVEALING if word in shown(message)] == []
    notice = next(message for message in house.heard(house.mum) if message.labels() == ["Open it"])
    assert "555 0199" in notice.text
    alert = told(house, house.robin, SAID)[-1]
    assert "Please call, and write nothing about it here." in alert.text

    await press(house, house.mum, "Open it", on=notice.message_id)
    lines = {"emergency_line": "555 0199", "crisis_line": "555 0199"}
    assert house.mum.message(notice.message_id).text == words_for("en")("advice.unsafe_home", **lines)
    await press(house, house.robin, "Advice that was sent", on=alert.message_id)
    assert "go to a safe place" in house.last(house.robin).text


async def test_no_view_of_the_family_and_no_other_carer_sees_it(house: House) -> None:
    await say(house, house.mum, SAID)
    await press(house, house.robin, "Seen")
    before = len(house.heard(house.mum))
    for command in ("/today", "/week", "/plan", "/day", "/privacy"):
        await say(house, house.mum, command)
    await press(house, house.mum, "Send me my copy")
    views = house.heard(house.mum)[before:]

    for name in ("copy.json", "copy.html"):
        text = (await file_of(house, house.mum, name)).decode().casefold()
        assert SAID not in text and "act_now" not in text and "concern seen" not in text
    assert [
        word for message in views for word in ("boyfriend", "hits", "concern") if word in shown(message)
    ] == []
    assert house.heard(house.grandpa) == []


async def test_a_sign_of_the_baby_is_not_kept_behind_the_button(house: House) -> None:
    await say(house, house.mum, "my boyfriend hits me and she is not breathing")

    texts = [message.text for message in house.heard(house.mum)]
    assert texts[0].startswith("This needs medical help now.")
    assert house.heard(house.mum)[1].labels() == ["Open it"]


NAMED_BY_NO_RULE = "I sat on the bathroom floor with pills in my hand again last night"


async def test_what_no_rule_names_gets_a_text_for_baby_carer_and_home_and_stays_out_of_the_copy(
    house: House,
) -> None:
    await say(house, house.mum, NAMED_BY_NO_RULE)
    await press(house, house.mum, "Yes, it is happening")

    lines = {"emergency_line": "555 0199", "crisis_line": "555 0199", "nurse_line": "555 0100"}
    texts = [message.text for message in house.heard(house.mum)]
    assert words_for("en")("advice.either_now", **lines) in texts
    assert not [text for text in texts if "pills" in text]
    assert told(house, house.robin, NAMED_BY_NO_RULE)

    await say(house, house.mum, "/privacy")
    await press(house, house.mum, "Send me my copy")
    for name in ("copy.json", "copy.html"):
        assert "pills" not in (await file_of(house, house.mum, name)).decode().casefold()


async def test_what_its_carer_denied_is_in_the_copy(house: House) -> None:
    await say(house, house.mum, NAMED_BY_NO_RULE)
    await press(house, house.mum, "No, it is not")
    await say(house, house.mum, "/privacy")
    await press(house, house.mum, "Send me my copy")
    assert "pills" in (await file_of(house, house.mum, "copy.json")).decode().casefold()
