"""The next step of a plan: proposed with the digest, taken by one tap; and the easier form after two hard times."""

from __future__ import annotations

from typing import Any

import pytest

from bot.domain.ids import FamilyId
from tests.journeys.conftest import House

STEP = {"then": "upright_carry", "when": {"days": 1, "of": 7, "minutes": 5, "taken": "well"}}


@pytest.fixture
def caseload(caseload: dict[str, Any]) -> dict[str, Any]:
    for activity in caseload["families"][0]["plan"]["activities"]:
        activity["easier"] = "lap_tummy_time"
        if activity["activity"] == "tummy_time":
            activity["next"] = STEP
    return caseload


async def test_a_step_that_is_met_comes_with_the_digest_and_one_tap_takes_it(house: House) -> None:
    await house.at(12)
    house.mum.say("20 min tummy, she loved it")  # while another activity's reminder is the newest
    await house.settle()
    await house.at(20, day=6)
    [proposed] = [each for each in house.heard(house.robin) if "Take the step" in each.labels()]
    assert "days with 5 min or more: 1 of 7" in (proposed.text or "")
    with house.store.read() as uow:
        assert uow.plans.get(FamilyId("f1")).version == 1

    house.robin.press("Take the step", message_id=proposed.message_id)
    await house.settle()
    with house.store.read() as uow:
        version = uow.plans.get(FamilyId("f1"))
    assert version.version == 2
    assert version.plan.activity("tummy_time") is None
    assert version.plan.activity("upright_carry") is not None


async def test_after_two_hard_times_the_reminder_offers_the_easier_form(house: House) -> None:
    def offers() -> list[str]:
        return [text for text in house.texts(house.mum) if "If it is hard again" in text]

    for _ in range(12):
        reminder = await house.to_first_reminder()
        if offers():
            break
        if "Not now" in reminder.labels():
            house.mum.say("he refused")
            await house.settle()

    assert offers()
    assert "Show the easier way" in house.last(house.mum).labels()
