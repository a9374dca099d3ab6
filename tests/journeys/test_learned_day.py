"""A nap moves: the family is asked in one line, says yes by a tap, and the therapist sees it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.domain.ids import FamilyId
from demo.messaging import MessageView
from tests.journeys.conftest import MONDAY, House


@pytest.fixture
def caseload(caseload: dict[str, Any]) -> dict[str, Any]:
    plan = caseload["families"][0]["plan"]
    plan["awake"] = [["07:00", "09:30"], ["11:00", "13:00"], ["14:30", "19:00"]]
    plan["feeds"] = []
    return caseload


async def asked_after_three_late_naps(house: House) -> MessageView:
    """The carer taps "asleep" before noon, then "awake", day after day; return the question on the fourth."""
    for day in range(3):
        await house.at(11, 20, day=day)
        house.mum.say("he is asleep")
        await house.settle()
        await house.at(12, 10, day=day)
        house.mum.say("awake")
        await house.settle()
    await house.at(18, 0, day=3)
    [question] = [each for each in house.heard(house.mum) if "may have changed" in (each.text or "")]
    return question


async def test_a_yes_moves_the_nap_and_the_therapist_sees_it(house: House) -> None:
    question = await asked_after_three_late_naps(house)
    assert "3 of 3 days" in (question.text or "")
    assert question.labels() == ["Yes", "No", "Other times"]

    house.mum.press("Yes", message_id=question.message_id)
    await house.settle()

    house.mum.say("/day")
    await house.settle()
    assert "9:30 AM–11:00 AM" not in (house.last(house.mum).text or "")
    house.robin.say("/families Pip")
    await house.settle()
    assert "Naps moved on" in (house.last(house.robin).text or "")


async def test_a_no_leaves_the_day_and_the_family_may_keep_its_times(house: House) -> None:
    question = await asked_after_three_late_naps(house)

    house.mum.press("No", message_id=question.message_id)
    await house.settle()
    house.mum.press("Keep my times", message_id=question.message_id)
    await house.settle()

    with house.store.read() as uow:
        family = uow.families.get(FamilyId("f1"))
        asked = uow.learned.asked_since(FamilyId("f1"), MONDAY.date() - timedelta(days=1))
    assert family.keeps_times
    assert [each.state for each in asked] == ["no"]
    house.mum.say("/day")
    await house.settle()
    assert "9:30 AM–11:00 AM" in (house.last(house.mum).text or "")


async def test_keep_my_times_in_words_is_heeded(house: House) -> None:
    house.mum.say("please keep my times")
    await house.settle()

    assert house.last(house.mum).labels() == ["Learn my times"]
    with house.store.read() as uow:
        assert uow.families.get(FamilyId("f1")).keeps_times
