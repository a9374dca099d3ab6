from __future__ import annotations

from tests.journeys.conftest import House
from tests.journeys.test_three_moments import counted


async def test_the_same_words_sent_twice_at_once_count_once_and_are_asked_about(house: House) -> None:
    house.mum.say("tummy time 8 min")
    await house.settle()
    house.mum.say("tummy time 8 min")
    await house.settle()

    assert [minutes for _, minutes, _ in await counted(house)] == [8.0]
    asked = house.last(house.mum)
    assert "once more" in asked.text

    house.mum.press("Yes", message_id=asked.message_id)
    await house.settle()
    assert [minutes for _, minutes, _ in await counted(house)] == [8.0, 8.0]
