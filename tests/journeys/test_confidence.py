"""How sure a carer feels: asked seldom, answered by tap or number, heard by the therapist where it is low."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Row, select

from bot.replies.reading import Entry, Reading
from bot.storage.tables import confidences, questions
from demo.messaging import MessageView
from tests.journeys.conftest import House
from tests.journeys.looking import football_first
from tests.journeys.scripted_reader import read_as


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


TUMMY = Reading(entries=(Entry("tummy_time", 5),))


async def tries(house: House, number: int, *, day: int = 0) -> None:
    for count in range(number):
        await house.at(7, 5 + 3 * count, day=day)
        house.mum.say("tummy 5")
        await house.settle()


async def asked(house: House, monkeypatch: pytest.MonkeyPatch) -> MessageView:
    """Bring the first question about."""
    read_as(monkeypatch, {"tummy 5": TUMMY})
    await tries(house, 3)
    question = house.last(house.mum)
    assert question.labels() == [str(value) for value in range(11)]
    return question


async def kept(house: House, table: Any) -> list[Row[Any]]:
    with house.store.read() as uow:
        return list(uow.conn.execute(select(table).order_by(table.c.id)))


async def test_after_three_tries_how_sure_is_asked_once_and_not_again_that_week(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    await asked(house, monkeypatch)
    await tries(house, 3, day=1)
    await tries(house, 3, day=6)

    assert [text for text in house.texts(house.mum) if "How sure" in text] != []
    assert len([text for text in house.texts(house.mum) if "How sure" in text]) == 1


async def test_a_tap_answers_in_place_and_a_sure_carer_is_left_in_peace(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    question = await asked(house, monkeypatch)
    house.mum.press("8")
    await house.settle()

    assert house.mum.message(question.message_id).text == "Thanks, noted: 8 of 10."
    assert house.mum.message(question.message_id).labels() == []
    assert [row.value for row in await kept(house, confidences)] == [8]
    assert house.heard(house.robin) == []


async def test_a_typed_number_is_the_answer_and_no_minutes(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    question = await asked(house, monkeypatch)
    house.mum.say("5")
    await house.settle()

    assert [row.value for row in await kept(house, confidences)] == [5]
    assert house.mum.message(question.message_id).labels() == []
    assert house.last(house.mum).labels() == ["Show me how", "Ask a question"]
    assert house.heard(house.robin) == []


async def test_a_number_in_a_word_is_an_answer_too(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    await asked(house, monkeypatch)
    read_as(monkeypatch, {"eight": Reading(entries=(Entry(None, 8),), confirm=True)})
    house.mum.say("eight")
    await house.settle()

    assert [row.value for row in await kept(house, confidences)] == [8]


async def test_an_edited_number_is_the_new_answer(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    await asked(house, monkeypatch)
    own = house.mum.say("5")
    await house.settle()
    house.mum.edit(own, "8")
    await house.settle()

    assert [row.value for row in await kept(house, confidences)] == [8]
    assert house.last(house.mum).text == "Thanks, noted: 8 of 10."


async def test_minutes_typed_instead_are_minutes(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    await asked(house, monkeypatch)
    await house.to_first_reminder()
    house.mum.say("5 min")
    await house.settle()

    assert [row.value for row in await kept(house, confidences)] == [None]
    assert house.last(house.mum).text.startswith("✓ 5 min")


async def test_a_low_answer_reaches_the_therapist_at_once_and_can_be_answered(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    await asked(house, monkeypatch)
    house.mum.press("3")
    await house.settle()
    told = house.last(house.robin)
    assert "3 of 10" in told.text and "tummy time" in told.text
    house.robin.say("Try it on your chest first.", reply_to=told.message_id)
    await house.settle()

    assert house.last(house.mum).text == "Robin: Try it on your chest first."
    (question,) = await kept(house, questions)
    assert question.answer == "Try it on your chest first."


async def test_a_second_tap_puts_the_first_right(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    question = await asked(house, monkeypatch)
    house.mum.press("2")
    house.mum.press("9")
    await house.settle()

    assert [row.value for row in await kept(house, confidences)] == [9]
    assert house.mum.message(question.message_id).text == "Thanks, noted: 9 of 10."


async def test_the_first_try_after_a_refresher_is_asked_about(house: House) -> None:
    await house.to_first_reminder()
    house.mum.say("how do I do the football hold again?")
    await house.settle()
    await house.at(7, 45)
    house.mum.say("5 min")
    await house.settle()

    assert "How sure do you feel with the football hold" in house.last(house.mum).text


async def test_a_later_week_asks_to_tell_how_and_the_words_reach_the_therapist(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    await asked(house, monkeypatch)
    house.mum.press("8")
    await house.settle()
    await tries(house, 3, day=8)
    assert "Would you tell me how you do tummy time?" in house.last(house.mum).text
    words = "I lay her on my chest first and then on the mat"
    named = Reading(entries=(Entry("tummy_time", None),), confirm=True, unread="I lay her")
    read_as(monkeypatch, {words: named})
    house.mum.say(words)
    await house.settle()

    assert words in house.last(house.robin).text
    assert "how we do it" in house.last(house.robin).text
    assert [row.kind for row in await kept(house, questions)] == ["teachback"]


async def test_minutes_in_a_teach_back_are_asked_about_before_they_count(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    await asked(house, monkeypatch)
    house.mum.press("8")
    await house.settle()
    await tries(house, 3, day=8)
    words = "I tuck him along my arm for 5 minutes, elbow in"
    read_as(monkeypatch, {words: Reading(entries=(Entry("football_hold", 5),), unread="I tuck … elbow in")})
    house.mum.say(words)
    await house.settle()

    assert words in house.last(house.robin).text
    assert house.last(house.mum).labels() == ["Yes", "Change", "No"]


async def test_telling_how_may_be_left(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    await asked(house, monkeypatch)
    house.mum.press("8")
    await house.settle()
    await tries(house, 3, day=8)
    house.mum.press("Not now", message_id=house.last(house.mum).message_id)
    await house.settle()
    house.mum.say("tummy 5")
    await house.settle()

    assert await kept(house, questions) == []


async def test_a_worry_in_a_teach_back_is_still_a_worry(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    await asked(house, monkeypatch)
    house.mum.press("8")
    await house.settle()
    await tries(house, 3, day=8)
    assert "tell me how" in house.last(house.mum).text
    house.mum.say("I hold her like you showed but she is blue")
    await house.settle()

    assert any("Urgent" in text for text in house.texts(house.robin))
