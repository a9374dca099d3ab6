"""A hold of the arm in the plan: placed by a line, told once, kept to everywhere, and ended by the therapist's tap alone."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator

import pytest

from bot.domain.ids import FamilyId
from bot.storage.reports.facts import facts_between
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload = copy.deepcopy(two_therapists())
    caseload["families"][0]["plan"]["activities"].append(
        {"activity": "head_turning", "target": {"minutes": 6}, "session": [3, 3], "side": "affected"}
    )
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=6)):
        yield house


async def hold_the_arm(house: House, line: str = "hold arm fracture for 5 days") -> None:
    await say(house, house.robin, "/plan pip")
    await say(house, house.robin, line)
    await press(house, house.robin, "Send")


def asked_for(house: House, activity: str, after: int) -> list[str]:
    return [
        each.text for each in house.heard(house.mum)[after:] if activity in each.text and " min" in each.text
    ]


async def test_it_is_told_once_and_kept_to_in_reminders_card_and_today(house: House) -> None:
    await house.to_first_reminder()
    await hold_the_arm(house)
    assert "Version 2 is in force" in house.heard(house.robin)[-1].text
    await house.at(20, day=1)
    assert len(told(house, house.mum, "The arm is at rest (broken bone), at least until")) == 1

    before = len(house.heard(house.mum))
    await house.at(20, day=2)
    assert asked_for(house, "Tummy time", before) == []
    others = asked_for(house, "Head turning", before)
    assert others and all("The arm is at rest for now" in each and "bone" not in each for each in others)

    await say(house, house.mum, "how do I do tummy time again?")
    assert told(house, house.mum, "Tummy time moves the arm or puts weight on it")
    await say(house, house.mum, "/today")
    assert "The arm is at rest (broken bone)" in house.last(house.mum).text


async def test_its_date_ends_nothing_and_one_tap_does(house: House) -> None:
    await house.at(9)
    await hold_the_arm(house)
    await house.at(9, day=3)
    soon = told(house, house.robin, "stays at rest until you say so")
    assert len(soon) == 1 and soon[0].labels() == ["Rest 2 more weeks"]
    await house.at(12, day=5)
    asked = told(house, house.robin, "is the day you set")
    assert len(asked) == 1 and "Yes, start again" in asked[0].labels()
    before = len(house.heard(house.mum))
    await house.at(20, day=6)
    assert asked_for(house, "Tummy time", before) == []
    await house.at(12, day=12)
    assert len(told(house, house.robin, "is still at rest")) == 1

    await press(house, house.robin, "Yes, start again", on=asked[0].message_id)
    await house.at(20, day=13)
    assert told(house, house.mum, "can start again")
    assert asked_for(house, "Tummy time", before)


async def test_an_old_button_does_not_end_another_hold(house: House) -> None:
    await house.at(9)
    await hold_the_arm(house)
    await house.at(12, day=5)
    asked = told(house, house.robin, "is the day you set")[-1]
    await press(house, house.robin, "Rest 2 more weeks", on=asked.message_id)
    assert "I will ask you again on" in house.heard(house.robin)[-1].text
    await press(house, house.robin, "Yes, start again", on=asked.message_id)
    assert "has ended or changed" in house.heard(house.robin)[-1].text
    with house.store.read() as uow:
        hold = uow.plans.get(FamilyId("f1")).plan.arm_hold
        assert hold is not None and hold.until is not None and (hold.until - MONDAY.date()).days == 19


async def test_a_draft_older_than_the_hold_is_asked_about(house: House) -> None:
    await house.at(9)
    await say(house, house.robin, "/plan pip")
    await say(house, house.robin, "tummy 30/day")
    with house.store.write() as uow:
        plan = uow.plans.get(FamilyId("f1"))
        hold = {"reason": "cast", "from": MONDAY.date().isoformat()}
        uow.plans.add(
            FamilyId("f1"), plan.document | {"arm_hold": hold}, made_by=plan.made_by, now=house.clock.now()
        )
    await press(house, house.robin, "Send")
    assert "This ends the time of rest for the arm" in house.heard(house.robin)[-1].text


async def test_the_digest_says_so_and_counts_no_held_minutes_as_missed(house: House) -> None:
    await house.at(9)
    await hold_the_arm(house)
    await house.at(12, day=2)
    with house.store.read() as uow:
        family = uow.families.get(FamilyId("f1"))
        now = house.clock.now()
        facts = facts_between(uow, family, now, from_at=MONDAY, to_at=now)
    assert [each.values["reason"] for each in facts.notes if each.kind == "arm_hold"] == ["fracture"]
    assert all(due.activity != "tummy_time" for due in facts.days[-1].due)
    assert any(due.activity == "head_turning" for due in facts.days[-1].due)
