"""What must be shown in person first goes only to carers whom the therapist marked as taught."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator

import pytest

from bot.domain.ids import FamilyId
from bot.storage.reports.facts import facts_between
from bot.storage.store import Store
from demo.messaging import MessagingServer, Person
from tests.journeys.clinic import press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house

MOVES = "Gentle arm moves"


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload = copy.deepcopy(two_therapists())
    family = caseload["families"][0]
    family["prompts_to"] = ["c1", "c2"]
    family["plan"]["activities"].append(
        {
            "activity": "gentle_range",
            "target": {"minutes": 6},
            "session": [3, 3],
            "side": "affected",
            "from": "2026-02-01",
        }
    )
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=6)):
        yield house


def asked_for_moves(house: House, who: Person, after: int = 0) -> list[str]:
    return [each.text for each in house.heard(who)[after:] if MOVES in each.text and " min" in each.text]


async def test_nobody_is_asked_before_a_mark_and_then_the_marked_one_alone(house: House) -> None:
    await house.at(20)
    assert asked_for_moves(house, house.mum) == []
    await say(house, house.mum, "how do the gentle arm moves go?")
    assert told(house, house.mum, "shows you") and not told(house, house.mum, "Stop")

    await say(house, house.robin, "/taught pip")
    await press(house, house.robin, "Mum: taught")
    assert f"✓ Mum: {MOVES}, taught on" in house.last(house.robin).text
    await house.at(20, day=1)
    assert asked_for_moves(house, house.mum)
    assert asked_for_moves(house, house.grandpa) == []
    await say(house, house.mum, "how do the gentle arm moves go?")
    assert "Stop" in house.last(house.mum).text

    await press(house, house.robin, "Mum: undo")
    before = len(house.heard(house.mum))
    await house.at(20, day=2)
    assert asked_for_moves(house, house.mum, before) == []


async def test_the_digest_names_who_was_taught_or_says_that_nobody_was(house: House) -> None:
    await house.at(12)

    def notes() -> list[tuple[str, object]]:
        with house.store.read() as uow:
            now = house.clock.now()
            facts = facts_between(uow, uow.families.get(FamilyId("f1")), now, from_at=MONDAY, to_at=now)
            return [(n.kind, n.values["carers"]) for n in facts.notes if n.kind in ("taught", "untaught")]

    assert notes() == [("untaught", "")]
    await say(house, house.robin, "/taught pip")
    await press(house, house.robin, "Mum: taught")
    assert notes() == [("taught", "Mum")]
