"""A therapist asks of any figure where it comes from, and reads the carers' own words."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator
from types import SimpleNamespace
from typing import Any

import pytest

from bot.storage.store import Store
from demo.messaging import MessagingServer, Person
from tests.journeys.conftest import CASELOAD, MONDAY, House, make_house


async def say(house: House, who: Person, text: str) -> None:
    who.say(text)
    await house.settle()


async def press(house: House, who: Person, label: str) -> None:
    who.press(label)
    await house.settle()


@pytest.fixture
async def lived(house: House) -> House:
    """A house in which Mum answered two reminders, one by tap and one in her own words."""
    reminder = await house.to_first_reminder()
    house.mum.press(reminder.labels()[0], message_id=reminder.message_id)
    await house.settle()
    await house.to_first_reminder()
    await say(house, house.mum, "12 min, turned right twice & <smiled>")
    return house


async def test_the_page_of_a_family_offers_every_figure_and_lists_its_entries_verbatim(lived: House) -> None:
    await say(lived, lived.robin, "/digest pip")
    await press(lived, lived.robin, "Where from?")
    offered = lived.last(lived.robin)
    await press(lived, lived.robin, "All minutes")

    assert set(offered.labels()) == {
        "Tummy time", "Football hold", "All minutes", "On the tummy", "What was seen", "Reminders",
    }  # fmt: skip
    told = lived.last(lived.robin).text
    assert "Mum (by button)" in told
    assert "12 min" in told and "“12 min, turned right twice & <smiled>”" in told
    assert "Mon 2 Mar" in told


async def test_every_figure_offered_can_be_opened(lived: House) -> None:
    await say(lived, lived.robin, "/digest pip")
    await press(lived, lived.robin, "Where from?")
    offered = lived.last(lived.robin)
    for label in offered.labels():
        lived.robin.press(label, message_id=offered.message_id)
        await lived.settle()

    answers = [text for text in lived.texts(lived.robin) if text.startswith("Pip\n")]
    assert len(answers) == len(offered.labels())


async def test_where_from_in_words_needs_no_name_after_a_page(lived: House) -> None:
    await say(lived, lived.robin, "/digest pip")
    await say(lived, lived.robin, "where from reminders?")
    assert "done" in lived.last(lived.robin).text

    await say(lived, lived.robin, "Where does the football come from")
    assert "Football hold" in lived.last(lived.robin).text


async def test_the_sum_of_the_listed_minutes_is_the_figure_on_the_page(lived: House) -> None:
    await say(lived, lived.robin, "/digest pip")
    page = lived.last(lived.robin).text
    await say(lived, lived.robin, "where from all")
    head, *entries = lived.last(lived.robin).text.splitlines()[1:]
    minutes = [float(line.split(" min,")[0].rpartition(" ")[2]) for line in entries]

    assert head == f"All minutes: {sum(minutes):g} min"
    assert f"Mum {sum(minutes):g} min" in page


@pytest.fixture
async def two_therapists(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    caseload: dict[str, Any] = copy.deepcopy(CASELOAD)
    caseload["therapists"].append({"id": "t2", "chat_id": 9002, "name": "Sam"})
    second = copy.deepcopy(caseload["families"][0])
    second |= {
        "id": "f2",
        "therapist": "t2",
        "carers": [{"id": "c9", "name": "Dad", "consented": False}],
        "prompts_to": ["c9"],
    }
    second["plan"]["baby"]["nickname"] = "Wren"
    caseload["families"].append(second)
    async for house in make_house(store, server, caseload, MONDAY):
        yield house


@pytest.mark.parametrize(
    "ask",
    ["/digest wren", "/note wren", "/grade wren ams elbow flexion 4", "/visit wren 2026-03-12 10:00 45min", "/handout wren", "where from tummy wren"],
)  # fmt: skip
async def test_a_colleagues_family_is_not_found_by_name(two_therapists: House, ask: str) -> None:
    house = two_therapists
    await say(house, house.robin, ask)

    answer = house.last(house.robin)
    assert answer.kind == "text"
    assert answer.text.startswith(("I found no family by the name", "Pip"))


@pytest.mark.parametrize(
    "data",
    ["page:1m0.zzzzz1:f2", "pdf:1m0.zzzzz1:f2", "note:1m0.zzzzz1:f2", "csv:1m0.zzzzz1:f2", "fhir:1m0.zzzzz1:f2", "ics:f2", "from:1m0.zzzzz1:f2",
     "trace:1m0.zzzzz1:all:f2", "grade:f2", "ungrade:1:f2", "unvisit:1:f2", "sheet:f2", "givesheet:f2", "page:nonsense", "page::", "trace:1", "pdf:?"],
)  # fmt: skip
async def test_a_button_that_names_a_colleagues_family_shows_nothing(
    two_therapists: House, monkeypatch: pytest.MonkeyPatch, data: str
) -> None:
    house = two_therapists
    await say(house, house.robin, "/digest")
    before = len(house.heard(house.robin))
    # A button of any message, its data swapped as a forger could do.
    forged = SimpleNamespace(text="any", data=data)
    monkeypatch.setattr(Person, "_button", lambda self, chat, *rest: (max(chat.messages), forged))
    house.robin.press("any")
    await house.settle()

    # At most the line that the button is old, and not a word of any family.
    new = [message.text for message in house.heard(house.robin)[before:]]
    assert new in ([], ["That button is no longer in use."])
