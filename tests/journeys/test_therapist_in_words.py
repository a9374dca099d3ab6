"""A therapist writes plainly: a name, a wish, a line for one family's plan; what is none of these moves nothing."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import alex, say, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


async def test_each_plain_line_does_what_its_command_does(house: House) -> None:
    for text, begins in (
        ("how is bo doing?", "Bo"),
        ("Auntie", "Kit"),
        ("who needs me first?", "2 families. Who needs you first:"),
        ("Bo's plan", "Plan for Bo, version 1"),
        ("families", "2 families"),  # said while a plan is open, and no line of it
        ("new family Luna, born 3 January 2026, 39 weeks, left arm", "Luna"),
    ):
        await say(house, alex(house), text)
        assert house.last(alex(house)).text.startswith(begins), text


async def test_a_line_that_names_a_family_is_for_that_family_whichever_plan_was_open(house: House) -> None:
    await say(house, alex(house), "/plan bo")
    await say(house, alex(house), "kit: remove football hold and add rolling")

    shown = house.last(alex(house)).text
    assert "Plan for Kit, draft." in shown and "Out: Football hold." in shown
    assert "Bo" not in shown


async def test_a_colleagues_family_is_not_found_and_other_words_move_nothing(house: House) -> None:
    for text in ("Pip", "she should rest the arm until Monday", "Bo should do less tummy time I think"):
        await say(house, alex(house), text)
        assert house.last(alex(house)).text.startswith("Reply to a concern"), text
