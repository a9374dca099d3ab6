"""Explaining a hold again: by words, button and command; what the plan does not hold is passed on."""

from __future__ import annotations

from typing import Any

import pytest

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId, TherapistId
from bot.replies.reading import Reading, Request
from tests.journeys.conftest import House
from tests.journeys.looking import football_first
from tests.journeys.scripted_reader import read_as


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


HOW = "how do I do the football hold again?"


async def say(house: House, text: str, **how: int) -> None:
    house.mum.say(text, **how)
    await house.settle()


async def test_a_card_comes_by_words_by_button_and_by_command(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press("Show me how", message_id=reminder.message_id)
    await house.settle()
    by_button = house.last(house.mum)
    await say(house, HOW)
    by_words = house.last(house.mum)
    await say(house, "/howto")
    house.mum.press("Football hold")
    await house.settle()
    by_command = house.last(house.mum)

    for card in (by_button, by_words, by_command):
        assert card.text.startswith("Football hold · Pip")
        assert "STOP if" in card.text
        assert len(card.text) < 450
        assert card.labels() == ["More", "Ask about this"]
    assert house.mum.message(reminder.message_id).labels() == reminder.labels()


async def test_more_sends_the_whole_card_for_the_same_side(house: House) -> None:
    reminder = await house.to_first_reminder()
    house.mum.press("Show me how", message_id=reminder.message_id)
    await house.settle()
    house.mum.press("More")
    await house.settle()
    whole = house.last(house.mum)

    assert "Roll onto the right side, from the hips" in whole.text
    assert "Do it the way your therapist showed you" in whole.text
    assert whole.labels() == ["Ask about this"]


async def test_more_of_a_hold_that_has_left_the_plan_is_not_explained(house: House) -> None:
    await say(house, HOW)
    with house.store.write() as uow:
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        rest = [each for each in version.document["activities"] if each["activity"] != "football_hold"]
        document = {**version.document, "activities": rest}
        uow.plans.add(
            FamilyId("f1"), document, made_by=Actor.therapist(TherapistId("t1")), now=house.clock.now()
        )
    house.mum.press("More")
    await house.settle()

    assert "not in the plan for Pip" in house.last(house.mum).text


async def test_a_therapist_reads_sources_mistakes_and_the_review_of_a_hold(house: House) -> None:
    house.robin.say("/howto tummy time")
    await house.settle()
    card = house.last(house.robin).text

    assert card.startswith("Tummy time · Baby")
    for part in ("Common mistakes", "STOP if", "Where this comes from", "WHO 2019"):
        assert part in card
    assert card.endswith("Reviewed by a licensed therapist: not yet.")


async def test_a_therapist_who_names_part_of_a_hold_chooses_among_those_that_fit(house: House) -> None:
    house.robin.say("/howto tum")
    await house.settle()
    asked = house.last(house.robin)
    house.robin.press("Tummy time on the lap")
    await house.settle()

    assert "Tummy time on the lap" in asked.labels() and "Bath" not in asked.labels()
    assert "Reviewed by a licensed therapist: none of these yet." in asked.text
    assert house.last(house.robin).text.startswith("Tummy time on the lap · Baby")


async def test_a_therapist_who_names_no_known_hold_is_shown_them_all(house: House) -> None:
    house.robin.say("/howto moon walk")
    await house.settle()
    asked = house.last(house.robin)

    assert "do not know a hold" in asked.text
    assert len(asked.labels()) == 16


async def test_the_therapists_own_material_comes_first(house: House) -> None:
    clip = house.robin.message(house.robin.video())
    assert clip.file_id is not None
    with house.store.write() as uow:
        uow.media.add(family_id=FamilyId("f1"), activity="football_hold", kind="video", file_id=clip.file_id,
            caption="On your own arm", added_by="t1", now=house.clock.now(),
        )  # fmt: skip
    await say(house, HOW)

    own, card = house.heard(house.mum)
    assert (own.kind, own.file_id) == ("video", clip.file_id)
    assert own.text == "From your therapist: On your own arm"
    assert card.text.startswith("Football hold · Pip")


async def test_a_question_after_the_card_names_it_to_the_therapist(house: House) -> None:
    await say(house, HOW)
    house.mum.press("Ask about this")
    await house.settle()
    await say(house, "Where does my hand go?")

    asked = house.last(house.robin).text
    assert "Where does my hand go?" in asked
    assert "football hold" in asked
    assert "passed this on to Robin" in house.last(house.mum).text


async def test_minutes_after_ask_about_this_are_minutes_and_no_question(house: House) -> None:
    await house.to_first_reminder()
    await say(house, HOW)
    house.mum.press("Ask about this")
    await house.settle()
    await say(house, "5 min")

    assert any("✓ 5 min" in text for text in house.texts(house.mum))
    assert house.heard(house.robin) == []


async def test_what_is_not_in_the_plan_is_said_kindly_and_passed_on(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = "what about lying on the side?"
    read_as(monkeypatch, {words: Reading(request=Request("refresher", "side_lying"))})
    await say(house, words)

    told = house.texts(house.mum)
    assert "not in the plan for Pip" in told[0]
    assert "passed this on" in told[1]
    assert words in house.last(house.robin).text
    assert not any("STOP if" in text for text in told)


async def test_a_held_activity_is_not_explained(house: House) -> None:
    with house.store.write() as uow:
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        document = dict(version.document)
        document["activities"] = [
            {**each, "from": "2026-03-20"} if each["activity"] == "football_hold" else each
            for each in document["activities"]
        ]
        uow.plans.add(
            FamilyId("f1"), document, made_by=Actor.therapist(TherapistId("t1")), now=house.clock.now()
        )
    await say(house, HOW)

    assert "is on hold until Friday 20 March" in house.texts(house.mum)[0]
    assert HOW in house.last(house.robin).text


async def test_a_name_that_nobody_knows_is_passed_on_with_the_plan_shown(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"how do I do moon walk?": Reading(request=Request("refresher"))})
    await say(house, "/howto moon walk")

    assert "do not know" in house.texts(house.mum)[0]
    assert "moon walk" in house.last(house.robin).text
    assert house.last(house.mum).labels() == ["Tummy time", "Football hold"]
