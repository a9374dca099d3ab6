"""The caseload in the therapist's chat: by need, by name, the card, discharge, audit; and plans told to families."""

from __future__ import annotations

import copy
from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest

from bot.activities.library import load_library
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, FamilyId
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.store import Store
from demo.messaging import MessagingServer
from tests.journeys.clinic import alex, press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


@pytest.fixture
async def large(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    """Robin with thirty families, of whom one asked something."""
    caseload = two_therapists()
    first = caseload["families"][0]
    for number in range(30):
        family = copy.deepcopy(first)
        family["id"] = f"g{number}"
        family["plan"]["baby"]["nickname"] = f"Baby {number:02d}"
        for carer in family["carers"]:
            carer["chat_id"] += 1000 + 10 * number
        caseload["families"].append(family)
    async for house in make_house(store, server, caseload, MONDAY.replace(hour=20, minute=30)):
        yield house


async def test_families_stand_by_need_eight_a_page_and_pages_turn_in_place(large: House) -> None:
    asker = large.person(5001 + 1000 + 10 * 17)
    await say(large, asker, "should the splint stay on at night?")
    await say(large, large.robin, "/families")
    page = large.last(large.robin)
    lines = page.text.split("\n")

    assert lines[0] == "31 families. Who needs you first:"
    assert lines[1] == "1. Baby 17: 1 open question"
    assert len(lines) == 9
    assert page.labels()[0] == "Baby 17" and page.labels()[-1] == "More ›"
    await press(large, large.robin, "More ›", on=page.message_id)
    turned = large.robin.message(page.message_id)
    assert turned.text.split("\n")[1].startswith("9. ")
    assert turned.labels()[-2:] == ["‹ Back", "More ›"]


async def test_a_family_is_found_by_name_of_baby_or_carer_whatever_case_and_accents(house: House) -> None:
    await say(house, house.robin, "/families PÍP")
    assert "Plan 1: Tummy time 40 min; Football hold 15 min" in house.last(house.robin).text
    await say(house, alex(house), "/families auntie")
    assert house.last(alex(house)).text.startswith("Kit")
    await say(house, alex(house), "/families")
    assert house.last(alex(house)).labels() == ["Bo", "Kit"]


async def test_the_card_shows_carers_last_word_and_what_is_open(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    house.grandpa.block()
    await house.settle()
    await say(house, house.robin, "/families pip")

    card = house.last(house.robin)
    assert "Age: 14 weeks, weak side right" in card.text
    assert "Mum: gets reminders" in card.text
    assert "Grandpa: cannot be reached here" in card.text
    assert "Last message: Mon 2 Mar, 9:00 AM, Mum" in card.text
    assert "concerns 0, questions 1" in card.text
    await press(house, house.robin, "Show open ones (1)")
    question = house.last(house.robin)
    assert "splint" in question.text
    await say(house, house.robin, "Yes", reply_to=question.message_id)
    assert house.last(house.mum).text == "Robin: Yes"


async def test_a_paused_family_stands_apart(house: House) -> None:
    await say(house, house.mum, "/pause")
    await say(house, house.robin, "/families")

    assert house.last(house.robin).text.startswith("1 family has paused:")


async def test_a_paused_or_discharged_family_that_waits_for_an_answer_stands_with_the_active_ones(
    house: House,
) -> None:
    await say(house, house.mum, "/pause")
    await say(house, house.mum, "should the splint stay on at night?")
    await say(house, house.robin, "/families")

    assert "1. Pip: (paused) 1 open question" in house.last(house.robin).text
    await say(house, house.robin, "Yes", reply_to=told(house, house.robin, "splint")[0].message_id)
    await say(house, house.robin, "/families")
    assert house.last(house.robin).text.startswith("1 family has paused:")


async def test_discharge_asks_twice_says_good_bye_and_gives_a_summary(house: House) -> None:
    await house.to_first_reminder()
    await say(house, house.mum, "10 min")
    await say(house, house.robin, "/families pip")
    await press(house, house.robin, "Discharge")
    await press(house, house.robin, "Yes, go on")
    assert not told(house, house.mum, "Thank you for all you did")
    await press(house, house.robin, "Discharge now")

    assert "Thank you for all you did" in house.last(house.mum).text
    assert house.last(house.grandpa).text.startswith("Robin cerró el plan de Pip")
    documents = [m for m in house.heard(house.robin) if m.kind == "document"]
    assert len(documents) == 2
    before = len(house.heard(house.mum))
    await house.at(20, day=1)
    assert len(house.heard(house.mum)) == before
    await say(house, house.robin, "/families")
    assert house.last(house.robin).text.startswith("1 family discharged:")


async def test_a_discharge_can_be_taken_back_and_reminders_go_on(house: House) -> None:
    await say(house, house.robin, "/families pip")
    for label in ("Discharge", "Yes, go on", "Discharge now", "Take it back"):
        await press(house, house.robin, label)

    assert "has opened the plan for Pip again" in house.last(house.mum).text
    before = len(house.heard(house.mum))
    await house.at(20)
    assert len(house.heard(house.mum)) > before


async def test_a_worry_after_discharge_still_reaches_the_therapist(house: House) -> None:
    await say(house, house.robin, "/families pip")
    for label in ("Discharge", "Yes, go on", "Discharge now"):
        await press(house, house.robin, label)
    await say(house, house.mum, "help, she is blue and not breathing")

    assert told(house, house.robin, "she is blue and not breathing")


async def test_the_audit_says_who_saw_and_did_what_in_plain_words(house: House) -> None:
    await say(house, house.robin, "/families pip")
    await press(house, house.robin, "Plan")
    await say(house, house.robin, "/audit pip")

    text = house.last(house.robin).text
    assert "Robin, looked at the plan" in text
    assert "Robin, looked at the card" in text


async def reload(house: House, change: Any) -> None:
    caseload = two_therapists()
    change(caseload["families"][0]["plan"])
    with house.store.write() as uow:
        import_caseload.load(
            uow, caseload_from(caseload, list(load_library()), where="test"), house.clock.now()
        )
    await house.settle()


def less_tummy_and_side_lying(plan: dict[str, Any]) -> None:
    plan["activities"][0]["target"] = {"minutes": 30}
    plan["activities"].append(
        {"activity": "side_lying", "target": {"minutes": 10}, "session": [5, 5], "side": {"affected": 2, "unaffected": 1}}
    )  # fmt: skip


async def test_a_new_plan_is_told_once_to_each_carer_in_their_language(house: House) -> None:
    await reload(house, less_tummy_and_side_lying)
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=30))

    mums = told(house, house.mum, "Robin has a new plan for Pip")
    assert len(mums) == 1
    assert "Tummy time: 30 min a day" in mums[0].text
    assert "New: Side lying" in mums[0].text
    assert "2 on the right for every 1 on the left" in mums[0].text
    assert len(told(house, house.grandpa, "Robin tiene un plan nuevo para Pip")) == 1
    await say(house, house.robin, "/plans pip")
    shown = house.last(house.robin).text
    assert "plan 2" in shown and "Tummy time: 30 min a day" in shown


async def test_a_plan_made_in_quiet_hours_is_told_in_the_morning_with_what_followed_it(house: House) -> None:
    await house.at(21)
    await reload(house, less_tummy_and_side_lying)
    await reload(house, lambda plan: plan.update(most_prompts=4))
    await house.at(6, 50, day=1)
    assert not told(house, house.mum, "new plan")
    await house.at(7, 5, day=1)

    mums = told(house, house.mum, "new plan")
    assert len(mums) == 1
    assert "Up to 4 reminders a day" in mums[0].text
    assert "Side lying" not in mums[0].text


async def test_a_reload_that_changes_nothing_a_family_feels_tells_nothing(house: House) -> None:
    await reload(house, lambda plan: plan["activities"][0].update(weight=3))
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=30))

    assert not told(house, house.mum, "new plan")


async def test_a_change_that_a_carer_made_is_told_to_the_others_alone_as_the_familys_own(
    house: House,
) -> None:
    with house.store.write() as uow:
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        document = {**version.document, "feeds": ["08:00"]}
        uow.plans.add(FamilyId("f1"), document, made_by=Actor.carer(CarerId("c1")), now=house.clock.now())
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=1))

    assert house.last(house.grandpa).text.startswith("Tu familia cambió el día de Pip")
    assert "Feeds" not in " ".join(house.texts(house.mum))
    await say(house, house.robin, "/plans pip")
    assert "2: 2 Mar 2026, Mum" in house.last(house.robin).text


async def test_a_question_about_the_new_plan_by_quote_reaches_the_therapist(house: House) -> None:
    await reload(house, less_tummy_and_side_lying)
    await say(
        house, house.mum, "Which pillow do we need", reply_to=told(house, house.mum, "new plan")[0].message_id
    )

    assert "Which pillow do we need" in house.last(house.robin).text
