"""A family is found the same way in every command that takes one."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator

import pytest

from bot.features.routing.therapist_routes import COMMANDS
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import say, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house

TAKE_A_FAMILY = (
    "/audit", "/digest", "/families", "/grade", "/handout", "/handover", "/invite", "/material", "/note", "/numbers",
    "/plan", "/plans", "/remove", "/taught", "/visit", "/write",
)  # fmt: skip
TAKE_NONE = {"/howto", "/group", "/newfamily", "/cover", "/quiet", "/cancel", "/help"}


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    """Robin with Pip and Inés, each with a grandpa; Inés's is called Abuelo Gómez."""
    caseload = two_therapists()
    family = copy.deepcopy(next(each for each in caseload["families"] if each["id"] == "f1"))
    family["id"] = "f-ines"
    family["plan"]["baby"]["nickname"] = "Inés"
    for carer in family["carers"]:
        carer["chat_id"] += 1000
    family["carers"][-1]["name"] = "Abuelo Gómez"
    caseload["families"].append(family)
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=9)):
        yield house


def test_every_command_takes_a_family_or_is_known_to_take_none() -> None:
    assert set(COMMANDS) == {*TAKE_A_FAMILY, *TAKE_NONE}


@pytest.mark.parametrize("wanted", ["ines", "INÉS", "iné", "f-ines", "gomez", "abuelo"])
async def test_one_family_is_found_without_accents_or_case_by_id_by_a_carer_and_by_a_beginning(
    house: House, wanted: str
) -> None:
    shown = {}
    for command in TAKE_A_FAMILY:
        before = len(house.heard(house.robin))
        await say(house, house.robin, f"{command} {wanted}")
        said = house.heard(house.robin)[before:]
        # Her handout is a document without words; she has no visits yet.
        shown[command] = any(
            "Inés" in each.text or each.kind == "document" or each.text.startswith("No visit")
            for each in said
        )

    assert [command for command, found in shown.items() if not found] == []


async def test_what_names_nobody_is_said_the_same_way(house: House) -> None:
    said = {}
    for command in TAKE_A_FAMILY:
        await say(house, house.robin, f"{command} Zoltan")
        said[command] = house.last(house.robin).text

    assert set(said.values()) == {'I found no family by the name "Zoltan".'}


async def test_a_word_that_fits_two_families_offers_both(house: House) -> None:
    for command in ("/audit", "/digest", "/grade", "/handout", "/plan", "/plans", "/write", "/material"):
        await say(house, house.robin, f"{command} mum")
        assert house.last(house.robin).labels() == ["Inés", "Pip"], command
