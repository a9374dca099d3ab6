"""A clinic with two therapists and three families, for the journeys of the therapists' side."""

from __future__ import annotations

import copy
from typing import Any

from demo.messaging import MessageView, Person
from tests.journeys.conftest import CASELOAD, House


def two_therapists() -> dict[str, Any]:
    """Robin keeps Pip (Mum, Grandpa, a day care), Alex keeps Bo (Dad) and Kit (Auntie, who reads Spanish)."""
    caseload = copy.deepcopy(CASELOAD)
    caseload["therapists"].append({"id": "t2", "chat_id": 9002, "name": "Alex"})
    plan = caseload["families"][0]["plan"]
    for family_id, nickname, carer in (
        ("f2", "Bo", (5003, "Dad", "en")),
        ("f3", "Kit", (5004, "Auntie", "es")),
    ):
        chat_id, name, language = carer
        caseload["families"].append(
            {
                "id": family_id,
                "therapist": "t2",
                "plan": {**copy.deepcopy(plan), "baby": {**plan["baby"], "nickname": nickname}},
                "carers": [
                    {"id": "c1", "chat_id": chat_id, "name": name, "language": language, "consented": True}
                ],
            }
        )
    caseload["families"][0]["carers"].append(
        {"id": "c3", "chat_id": 5005, "name": "Sunny Nursery", "role": "day_care", "consented": True}
    )
    return caseload


def nursery(house: House) -> Person:
    return house.person(5005)


def alex(house: House) -> Person:
    return house.person(9002)


def dad(house: House) -> Person:
    return house.person(5003)


async def say(house: House, who: Person, text: str, *, reply_to: int | None = None) -> int:
    """Have a person write, and the bot do all that follows; return the message's id."""
    message_id = who.say(text, reply_to=reply_to)
    await house.settle()
    return message_id


async def press(
    house: House, who: Person, label: str | None = None, *, data: str | None = None, on: int | None = None
) -> None:
    who.press(label, data=data, message_id=on)
    await house.settle()


def new(house: House, who: Person, after: int) -> list[MessageView]:
    """Return what the bot said to a person after a count of messages."""
    return house.heard(who)[after:]


def told(house: House, who: Person, words: str) -> list[MessageView]:
    """Return the bot's messages to a person that hold these words."""
    return [message for message in house.heard(who) if words in message.text]
