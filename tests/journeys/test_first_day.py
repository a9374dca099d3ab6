"""A family whose plan holds no day yet is asked for it in a few taps."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId
from bot.domain.plans import PlanVersion
from tests.journeys.conftest import CASELOAD, House
from tests.journeys.talks import does, family_row


@pytest.fixture
def caseload() -> dict[str, Any]:
    empty = copy.deepcopy(CASELOAD)
    plan = empty["families"][0]["plan"]
    plan["awake"], plan["feeds"] = [], []
    del plan["quiet"]
    return empty


async def plan_of(house: House) -> PlanVersion:
    with house.store.read() as uow:
        found = uow.plans.current(FamilyId("f1"))
    assert found is not None
    return found


async def test_the_day_is_asked_in_taps_and_becomes_a_new_plan_version(house: House) -> None:
    mum = house.mum
    await does(house, mum, "/start", "[Halifax]")
    assert "1 of 5" in house.last(mum).text
    wake, bed = house.last(mum).labels()[1], "7:30 PM"
    await does(house, mum, f"[{wake}]")
    await does(house, mum, f"[{next(b for b in house.last(mum).labels() if b.startswith('7:30'))}]")
    await does(house, mum, "[3 naps]", "[Every 3 h]")
    asked = await does(house, mum, f"[{next(b for b in house.last(mum).labels() if b.startswith('6:30'))}]")
    assert bed[:4] in asked.text
    assert "Is that right?" in asked.text

    await does(house, mum, "[Yes, right]")

    version = await plan_of(house)
    assert version.version == 2
    assert version.made_by == Actor.carer(CarerId("c1"))
    assert version.document["awake"][0][0] == "06:00"
    assert version.document["awake"][-1][1] == "19:30"
    assert len(version.document["awake"]) == 4
    assert version.document["moments"]["bath"] == ["18:30"]
    assert version.document["quiet"] == ["19:30", "06:00"]
    assert (await family_row(house)).shape_told_at == house.clock.now()
    reminder = await house.to_first_reminder()
    assert "Pip" in reminder.text


async def test_the_day_can_be_typed_and_a_break_comes_back_to_the_next_question(house: House) -> None:
    mum = house.mum
    await does(house, mum, "/start", "[Somewhere else]", "Toronto")
    await does(house, mum, f"[{house.last(mum).labels()[0]}]", "around 6:45", "8")
    await house.at(12)
    await does(house, mum, "how do I do the football hold again?")

    assert "nap" in (await does(house, mum, "/day")).text

    await does(house, mum, "9-10:30, 1 to 3", "7, 10, 1, 4 and 7", "no")
    await does(house, mum, "[Yes, right]")
    document = (await plan_of(house)).document
    assert document["time_zone"] == "America/Toronto"
    assert document["awake"] == [["06:45", "09:00"], ["10:30", "13:00"], ["15:00", "20:00"]]
    assert document["feeds"] == ["07:00", "10:00", "13:00", "16:00", "19:00"]
    assert "bath" not in document["moments"]


async def test_a_worry_in_the_middle_goes_first_and_the_question_stays_open(house: House) -> None:
    mum = house.mum
    await does(house, mum, "/start", "[Halifax]", "he is blue")
    assert any("Pip" in text for text in house.texts(house.robin))

    await does(house, mum, "6:30")

    assert "2 of 5" in house.last(mum).text


async def test_a_bed_time_before_getting_up_is_asked_again_kindly(house: House) -> None:
    mum = house.mum
    await does(house, mum, "/start", "[Halifax]", "7", "5 am")

    assert "must come after" in house.last(mum).text

    await does(house, mum, "7:30")
    assert "3 of 5" in house.last(mum).text


async def test_a_day_told_in_words_is_asked_about_and_can_be_undone(house: House) -> None:
    mum = house.mum
    await does(house, mum, "/start", "[Halifax]", "6:30", "7:30", "no", "no", "no", "[Yes, right]")

    asked = await does(house, mum, "naps are 9 to 10:30 and 1 to 3 now")
    assert asked.labels() == ["Yes, change it", "No"]
    assert (await plan_of(house)).document["awake"] == [["06:30", "19:30"]]

    await does(house, mum, "yes")
    assert len((await plan_of(house)).document["awake"]) == 3

    await does(house, mum, "[Undo]")
    assert (await plan_of(house)).document["awake"] == [["06:30", "19:30"]]


async def test_the_other_carers_are_told_of_the_new_day_and_the_therapist_sees_it_as_a_plan_change(
    house: House,
) -> None:
    await does(house, house.mum, "/start", "[Halifax]", "6:30", "7:30", "no", "no", "no", "[Yes, right]")
    await house.at(10)
    await does(house, house.mum, "bath is at 6 now", "[Yes, change it]")

    assert "Mum cambió el día con Pip: Baño 18:00" in house.last(house.grandpa).text
    version = await plan_of(house)
    assert version.made_by == Actor.carer(CarerId("c1"))
    assert version.note == "Mum changed the day: Bath 6:00 PM"
