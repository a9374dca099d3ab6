"""Words on safe sleep come before anything else, and a question goes on to the therapist."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.phrases import words_for
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house

SAFE = {language: words_for(language)("sleep.safe") for language in ("en", "es")}


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


async def test_the_fixed_words_come_first_in_each_language(house: House) -> None:
    await say(house, house.mum, "She fell asleep on her tummy and I left her there")
    await say(house, house.grandpa, "se durmió boca abajo y la dejé")

    assert SAFE["en"] in house.heard(house.mum)[0].text
    assert SAFE["es"] in house.heard(house.grandpa)[0].text
    assert "move your baby onto the back now" in house.heard(house.mum)[0].text


async def test_a_question_is_answered_by_them_and_passed_on(house: House) -> None:
    await say(house, house.mum, "can she sleep on her tummy?")

    assert SAFE["en"] in house.heard(house.mum)[0].text
    assert told(house, house.robin, "can she sleep on her tummy?")


async def test_how_long_a_sleep_on_the_tummy_was_is_no_time_on_the_tummy(house: House) -> None:
    await say(house, house.mum, "she slept on my chest for 90 min")
    await say(house, house.grandpa, "durmió boca abajo 2 horas")

    assert not any("✓" in text for text in house.texts(house.mum) + house.texts(house.grandpa))
    await say(house, house.grandpa, "10 min boca abajo y se durmió en mi pecho")
    assert "✓ 10 min" in house.last(house.grandpa).text
