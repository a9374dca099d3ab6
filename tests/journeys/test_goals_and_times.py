"""A family whose plan counts a movement by times and several activities toward one goal, from chat to digest."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest

from bot.digest.week import digest_of
from bot.domain.ids import FamilyId
from bot.storage.reports.facts import facts_of
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.conftest import MONDAY, House, make_house

WOVEN = "✓ Done"


@pytest.fixture
async def goals_house(
    store: Store, server: MessagingServer, caseload: dict[str, Any]
) -> AsyncIterator[House]:
    plan = caseload["families"][0]["plan"]
    plan["moments"] = {"nappy": ["07:05", "10:35", "14:05", "17:35"]}
    plan["activities"] += [
        {"activity": "lap_tummy_time", "session": [3, 8]},
        {"activity": "rolling", "target": {"times": 4}, "session": [1, 1], "moments": ["nappy"]},
    ]
    plan["goals"] = [
        {"goal": "On the tummy", "activities": ["tummy_time", "lap_tummy_time"], "target": {"minutes": 90}}
    ]
    async for house in make_house(store, server, caseload, MONDAY - timedelta(hours=2)):
        yield house


async def says(house: House, text: str) -> str:
    house.mum.say(text)
    await house.settle()
    return house.last(house.mum).text or ""


async def test_today_and_the_digest_tell_goals_by_their_activities_and_movements_by_times(
    goals_house: House,
) -> None:
    house = goals_house
    while WOVEN not in (await house.to_first_reminder()).labels():
        assert house.clock.now() < MONDAY + timedelta(days=3)
    house.mum.press(WOVEN)
    await house.settle()
    await says(house, "tummy time 12 min")
    await says(house, "lap tummy time 7 min")
    await says(house, "rolling 3 of 4")
    assert any("Today 3 times so far" in (each.text or "") for each in house.heard(house.mum)[-2:])
    assert "✓ rolling, once. Today 2 times so far." in await says(house, "no, 2 of 4")
    today = await says(house, "/today")

    assert "rolling: 2 of 4" in today
    assert "◎ On the tummy: 19 of 90 min (tummy time 12, tummy time on your lap 7)" in today
    assert "rolling, 1 min" not in today
    with house.store.read() as uow:
        family = uow.families.get(FamilyId("f1"))
        week = digest_of(
            facts_of(uow, family, house.clock.now(), last=family.local(house.clock.now()).date(), days=1)
        )
    rolling = next(each for each in week.activities if each.activity == "rolling")
    assert (rolling.counts_times, rolling.sessions, rolling.known_times) == (True, 2, 4)
    assert (week.goals[0].done, week.goals[0].target) == (19, 90)
