"""From a first therapist to families with carers: enrolling, inviting, handing over, covering."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select

from bot.domain.ids import FamilyId
from bot.storage.store import Store
from bot.storage.tables import carers, families
from demo.messaging import MessagingServer
from tests.journeys.clinic import alex, dad, press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house

BLUE = "help, she is blue and not breathing"


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


def link_in(text: str) -> str:
    found = re.search(r"https://\S+", text)
    assert found is not None
    return found[0]


async def all_rows(house: House, table: Any) -> list[Any]:
    with house.store.read() as uow:
        return list((uow.conn.execute(select(table))).all())


async def set_up_ada(house: House) -> str:
    """Set up a family in chat, in words and taps, and return its id."""
    await say(house, house.robin, "/newfamily")
    await say(house, house.robin, "Ada")
    await say(house, house.robin, "3 January 2026")
    await say(house, house.robin, "33+4")
    await press(house, house.robin, "left")
    await press(house, house.robin, "Not on this time")
    await say(house, house.robin, "madrid")
    await press(house, house.robin, "Make it")
    return str(next(row.id for row in await all_rows(house, families) if row.nickname == "Ada"))


async def test_a_family_is_set_up_in_chat_with_an_empty_plan(house: House) -> None:
    family_id = await set_up_ada(house)

    with house.store.read() as uow:
        family = uow.families.find(FamilyId(family_id))
        version = uow.plans.current(FamilyId(family_id))
    assert family is not None and version is not None
    assert (family.therapist_id, family.zone.key) == ("t1", "Europe/Madrid")
    baby = version.plan.baby
    assert (baby.born.isoformat(), baby.gestation_weeks, baby.affected_side) == ("2026-01-03", 33, "left")
    assert version.plan.activities == ()
    assert "Ada" in house.last(house.robin).text


async def test_what_cannot_be_read_is_asked_again_and_nothing_is_lost(house: House) -> None:
    await say(house, house.robin, "/newfamily Ada")
    await say(house, house.robin, "3/1/2026")
    assert 'cannot read "3/1/2026"' in house.last(house.robin).text
    await say(house, house.robin, "2026-01-03")
    await say(house, house.robin, "nine months")
    await press(house, house.robin, "40 weeks")
    await say(house, house.robin, "both")
    await press(house, house.robin, "Not on this time")
    await say(house, house.robin, "Atlantis")
    assert "Atlantis" in house.last(house.robin).text
    await press(house, house.robin, "Clinic time")

    check = house.last(house.robin)
    assert "Ada" in check.text and "3 Jan 2026" in check.text and "both" in check.text
    await press(house, house.robin, "Start over")
    await say(house, house.robin, "/cancel")
    assert all(row.nickname != "Ada" for row in await all_rows(house, families))


async def test_a_misspelt_city_is_offered_and_a_typed_yes_makes_the_family(house: House) -> None:
    await say(house, house.robin, "/newfamily Ada, born 3 January 2026, 38 weeks, left arm")
    await press(house, house.robin, "Not on this time")
    await say(house, house.robin, "Madird")
    await press(house, house.robin, "Madrid")
    await say(house, house.robin, "yes")

    made = next(row.id for row in await all_rows(house, families) if row.nickname == "Ada")
    with house.store.read() as uow:
        assert uow.families.get(FamilyId(made)).zone.key == "Europe/Madrid"


async def test_a_second_baby_of_a_name_is_asked_about_before_it_is_made(house: House) -> None:
    await say(house, house.robin, "/newfamily pip, born 3 January 2026, 38 weeks, left arm")

    assert "You have a pip here already" in house.last(house.robin).text
    await press(house, house.robin, "Make it")
    assert len([row for row in await all_rows(house, families) if row.nickname.casefold() == "pip"]) == 2


async def test_an_answer_to_a_worry_is_never_taken_for_a_step_of_the_talk(house: House) -> None:
    await say(house, house.robin, "/newfamily")
    await say(house, house.mum, BLUE)
    alert = told(house, house.robin, BLUE)[0]
    await say(house, house.robin, "Call now", reply_to=alert.message_id)
    await say(house, house.robin, "Ada")

    assert told(house, house.mum, "Robin: Call now")
    assert "born" in house.last(house.robin).text


async def test_an_invitation_opens_the_chat_by_link_and_only_once(house: House) -> None:
    await say(house, house.robin, "/invite pip")
    await say(house, house.robin, "Nana")
    invitation = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")
    nana = house.server.people.add(5010, "Nana")
    nana.open_invitation(link_in(invitation.text))
    await house.settle()

    assert "Pip" in house.last(nana).text
    stranger = house.server.people.add(5011, "Somebody")
    stranger.open_invitation(link_in(invitation.text))
    await house.settle()
    assert "do not know that code" in house.last(stranger).text


async def test_the_printed_code_works_and_a_new_code_replaces_the_old(house: House) -> None:
    await say(house, house.robin, "/invite pip")
    await press(house, house.robin, "Grandparent")
    first = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")
    await say(house, house.robin, "/invite pip")
    await press(house, house.robin, "Grandparent: new code")
    second = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")
    code = re.search(r"/start (\S+)", second.text)
    assert code is not None
    nana = house.server.people.add(5010, "Nana")
    nana.open_invitation(link_in(first.text))
    await house.settle()
    assert "do not know that code" in house.last(nana).text
    await say(house, nana, f"/start {code[1].lower()}")

    assert "Pip" in house.last(nana).text
    assert sum(row.family_id == "f1" for row in await all_rows(house, carers)) == 4


async def test_a_second_person_of_one_name_is_asked_about(house: House) -> None:
    await say(house, house.robin, "/invite pip")
    await say(house, house.robin, "nána")
    before = len(await all_rows(house, carers))
    await say(house, house.robin, "/invite pip")
    await say(house, house.robin, "Nana")

    assert "already" in house.last(house.robin).text
    assert house.last(house.robin).labels() == ["nána: new code", "Somebody else"]
    assert len(await all_rows(house, carers)) == before

    await press(house, house.robin, "Somebody else")
    assert len(await all_rows(house, carers)) == before + 1

    await say(house, house.robin, "/invite")
    await press(house, house.robin, "A colleague")
    await say(house, house.robin, "ALEX")
    assert "in the clinic already" in house.last(house.robin).text
    await press(house, house.robin, "Somebody else")
    assert "Pass this on to ALEX." in house.last(house.robin).text


async def test_an_invitation_is_made_in_the_language_of_who_gets_it(house: House) -> None:
    await say(house, house.robin, "/invite pip")
    await say(house, house.robin, "Rosa")
    first = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")
    await press(house, house.robin, "En español")
    second = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")

    assert "invites you" in first.text
    assert "te invita" in second.text
    rosa = house.server.people.add(5012, "Rosa")
    rosa.open_invitation(link_in(second.text))
    await house.settle()
    assert next(row.language for row in await all_rows(house, carers) if row.name == "Rosa") == "es"


async def test_a_colleague_joins_by_invitation_and_sees_no_family_yet(house: House) -> None:
    await say(house, house.robin, "/invite")
    await press(house, house.robin, "A colleague")
    await say(house, house.robin, "Sam")
    invitation = next(m for m in reversed(house.heard(house.robin)) if m.kind == "photo")
    sam = house.server.people.add(9003, "Sam")
    sam.open_invitation(link_in(invitation.text))
    await house.settle()
    assert "Welcome, Sam" in house.last(sam).text
    await say(house, sam, "/families")

    assert house.last(sam).labels() == ["A new family"]


async def test_a_family_is_handed_over_once_the_colleague_accepts(house: House) -> None:
    await say(house, house.robin, "/handover pip")
    await press(house, house.robin, "Alex")
    offer = house.last(alex(house))
    assert offer.labels() == ["I will take over", "I cannot"]
    assert "Mum" not in offer.text
    await say(house, house.mum, BLUE)
    assert not told(house, alex(house), BLUE)
    await press(house, alex(house), "I will take over", on=offer.message_id)

    assert "Alex is the therapist for Pip now" in house.last(house.mum).text
    assert "Alex" in house.last(house.grandpa).text
    assert told(house, alex(house), BLUE)
    assert "Alex has taken Pip" in house.last(house.robin).text
    await say(house, house.robin, "/families pip")
    assert "Pip" not in house.last(house.robin).text or "no families" in house.last(house.robin).text


async def test_a_declined_handover_changes_nothing(house: House) -> None:
    await say(house, house.robin, "/handover pip")
    await press(house, house.robin, "Alex")
    await press(house, alex(house), "I cannot")
    await say(house, house.mum, "should the splint stay on at night?")

    assert told(house, house.robin, "cannot take Pip")
    assert told(house, house.robin, "splint")
    assert not told(house, alex(house), "splint")


async def test_a_cover_hears_worries_and_questions_from_the_first_day_to_the_last(house: House) -> None:
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await say(house, house.robin, "3 Mar to 5 Mar")
    assert "named you as cover for 1 family" in house.last(alex(house)).text
    await say(house, house.mum, "is tummy time ok on the bed?")
    await house.at(10, day=1)
    await say(house, house.mum, "should the splint stay on at night?")
    await house.at(10, day=3)
    await say(house, house.mum, BLUE)
    await house.at(10, day=4)
    await say(house, house.mum, "is a bath ok today?")

    questions = [m.text for m in house.heard(alex(house)) if "Pip" in m.text]
    assert not any("tummy time ok" in text for text in questions)
    assert any("splint" in text for text in questions)
    assert any(BLUE in text for text in questions)
    assert not any("a bath ok" in text for text in questions)
    for words in ("tummy time ok", "splint", BLUE, "a bath ok"):
        assert told(house, house.robin, words)


async def test_a_cover_sees_the_family_answers_for_it_and_does_not_discharge_it(house: House) -> None:
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await press(house, house.robin, "7 days")
    await say(house, alex(house), "/families pip")
    card = house.last(alex(house))
    assert "Pip" in card.text
    assert not {"Discharge", "Hand over"} & set(card.labels())
    await say(house, house.mum, "should the splint stay on at night?")
    question = told(house, alex(house), "splint")[-1]
    await say(house, alex(house), "Yes", reply_to=question.message_id)

    assert house.last(house.mum).text == "Alex: Yes"
    assert "Alex has answered" in told(house, house.robin, "splint")[-1].text


async def test_a_cover_who_declines_hears_nothing_more_and_the_other_is_told(house: House) -> None:
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await press(house, house.robin, "7 days")
    await press(house, alex(house), "I cannot cover")
    await say(house, house.mum, BLUE)

    assert told(house, house.robin, "Alex cannot cover for you")
    assert not told(house, alex(house), BLUE)


async def test_the_week_of_covered_families_is_offered_and_shown(house: House) -> None:
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await press(house, house.robin, "14 days")
    await house.at(18, 5, day=6)
    offer = told(house, alex(house), "Do you want to see the week")
    assert len(offer) == 1
    await press(house, alex(house), "Week: Robin", on=offer[0].message_id)
    overview = house.last(alex(house))
    assert "Pip" in overview.text and "Bo" not in overview.text
    await press(house, alex(house), "Document (PDF)", on=overview.message_id)
    assert house.last(alex(house)).kind == "document"
    await press(house, alex(house), "Pip", on=overview.message_id)
    assert any("Pip" in m.text for m in house.heard(alex(house))[-2:])


async def test_back_from_leave_the_cover_is_told(house: House) -> None:
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await press(house, house.robin, "14 days")
    await house.rehearsal.jump(house.clock.now() + timedelta(hours=2))
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "I am back")
    await say(house, house.mum, BLUE)

    assert "Robin is back" in house.last(alex(house)).text
    assert not told(house, alex(house), BLUE)
    assert dad(house).messages(by_bot=True) == [] or not told(house, dad(house), "Robin")
