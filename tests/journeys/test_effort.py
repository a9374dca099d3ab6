"""How many taps and messages each usual thing takes, for a carer and for a therapist, counted as they do it."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from typing import Any

from bot.activities.library import load_library
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from demo.messaging import Person
from tests.journeys.conftest import MONDAY, House
from tests.journeys.talks import invited


@dataclass
class Counting:
    """One person's taps and messages. acts: how many since `begin`."""

    house: House
    person: Person
    acts: int = 0

    def begin(self) -> Counting:
        self.acts = 0
        return self

    async def say(self, text: str, reply_to: int | None = None) -> str:
        self.acts += 1
        self.person.say(text, reply_to=reply_to)
        await self.house.settle()
        return self.said()

    async def tap(self, label: str) -> str:
        """Press the button of the newest message that has it."""
        self.acts += 1
        newest = [m for m in self.house.heard(self.person) if label in m.labels()][-1]
        self.person.press(label, message_id=newest.message_id)
        await self.house.settle()
        return self.said()

    def said(self) -> str:
        return "\n".join(self.house.texts(self.person)[-4:])


async def test_a_carer_does_each_usual_thing_in_so_many_acts(house: House) -> None:
    mum = Counting(house, house.mum)
    await house.to_first_reminder()
    assert "✓ 10 min of tummy time" in await mum.tap("✓ 10 min") and mum.acts == 1

    await house.to_first_reminder()
    mum.begin()
    await mum.tap("Other minutes")
    assert "✓ 15 min" in await mum.tap("15 min") and mum.acts == 2

    await house.to_first_reminder()
    assert "again at" in await mum.begin().tap("Later") and mum.acts == 1
    assert "STOP if" in await mum.begin().say("show me tummy time") and mum.acts == 1

    mum.begin()
    await mum.say("bath is at 6 pm now")
    assert "Bath" in await mum.tap("Yes, change it") and mum.acts == 2

    await house.to_first_reminder()
    assert "I stay quiet until" in await mum.begin().tap("Asleep") and mum.acts == 1
    assert "stop reminders" in await mum.begin().say("he is ill today") and mum.acts == 1


async def test_somebody_joins_in_three_acts(house: House) -> None:
    code = await invited(house, "c3", "Papa")
    papa = Counting(house, house.server.people.add(5003, "Papa"))
    papa.acts += 1
    papa.person.open_invitation(code)
    await house.settle()
    await papa.tap("Father")
    assert "The day with Pip" in await papa.tap("Yes, I agree") and papa.acts == 3


async def test_a_therapist_does_each_usual_thing_in_so_many_acts(house: House) -> None:
    robin = Counting(house, house.robin)
    await house.at(9)
    house.mum.say("can she do tummy time after the jabs?")
    await house.settle()
    asked = house.last(house.robin)
    await robin.begin().say("Yes, once she is calm.", reply_to=asked.message_id)
    assert robin.acts == 1 and "Yes, once she is calm." in house.texts(house.mum)[-1]

    assert "Pip" in await robin.begin().say("/families") and robin.acts == 1


async def test_a_new_family_is_set_up_and_its_mother_invited_in_five_acts_or_fewer(house: House) -> None:
    robin = Counting(house, house.robin)
    await robin.say("/newfamily Luna")
    await robin.say("3 January 2026, 39 weeks")
    assert "Weak arm: left" in await robin.tap("left")
    await robin.tap("Make it")
    assert "Pass this on to Mum (Luna)" in await robin.tap("Mum") and robin.acts == 5

    await robin.begin().say("/newfamily Mo, born 5 January 2026, 38 weeks, right arm")
    await robin.tap("Make it")
    assert "Pass this on to Dad (Mo)" in await robin.tap("Dad") and robin.acts == 3


async def test_a_change_at_noon_takes_three_acts_or_fewer(house: House) -> None:
    await house.at(12)
    robin = Counting(house, house.robin)
    await robin.say("/plan")
    await robin.say("tummy alternate, 30 a day")
    assert "Version 2 is in force for Pip" in await robin.tap("Send") and robin.acts == 3

    await robin.begin().say("/plan pip swap football for rolling")
    assert "Version 3 is in force for Pip" in await robin.tap("Send") and robin.acts == 2


async def test_a_first_plan_from_a_template_takes_three_acts(house: House, caseload: dict[str, Any]) -> None:
    emptied = copy.deepcopy(caseload["families"][0])
    emptied["plan"]["activities"] = []
    caseload["families"] = [emptied]
    with house.store.write() as uow:
        import_caseload.load(uow, caseload_from(caseload, list(load_library()), where="test"), MONDAY)
    robin = Counting(house, house.robin)
    await robin.say("/plan")
    await robin.tap("Head control")
    assert "is in force for Pip" in await robin.tap("Send") and robin.acts == 3
