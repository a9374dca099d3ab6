"""Small helps for journeys: invitations, presses by words, and a chat as it can be read."""

from __future__ import annotations

from typing import Any

from bot.domain.ids import CarerId, FamilyId
from bot.domain.people import Carer, Family
from bot.storage.tables import carers
from demo.messaging import MessageView, Person
from tests.journeys.conftest import House


async def invited(
    house: House, carer_id: str, name: str, *, family: str = "f1", role: str = "parent", language: str = "en"
) -> str:
    """Add an invited carer to a family and return their code."""
    with house.store.write() as uow:
        if uow.carers.find(FamilyId(family), CarerId(carer_id)) is None:
            uow.conn.execute(
                carers.insert().values(
                    family_id=family, id=carer_id, name=name, role=role, language=language, state="invited"
                )
            )
        return uow.invitations.invite(
            family_id=FamilyId(family), carer_id=CarerId(carer_id), now=house.clock.now()
        )


async def does(house: House, person: Person, *acts: str) -> MessageView:
    """Let a person tap ("[Yes]") or write, one after the other; return what was said last."""
    for act in acts:
        if act.startswith("["):
            person.press(act[1:-1])
        else:
            person.say(act)
        await house.settle()
    return house.last(person)


async def carer_row(house: House, carer_id: str, family: str = "f1") -> Carer:
    with house.store.read() as uow:
        found = uow.carers.find(FamilyId(family), CarerId(carer_id))
    assert found is not None
    return found


async def family_row(house: House, family: str = "f1") -> Family:
    with house.store.read() as uow:
        found = uow.families.find(FamilyId(family))
    assert found is not None
    return found


def transcript(house: House, person: Any) -> str:
    """Return a chat as text, for printing while a journey is written."""
    lines = []
    for message in person.messages():
        who = "bot" if message.by_bot else "   "
        lines.append(f"{who}| {message.text or message.kind}")
        lines += [f"   |   {'  '.join(f'[{button.text}]' for button in row)}" for row in message.buttons]
    return "\n".join(lines)
