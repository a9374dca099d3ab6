"""A short reviewed answer: shown to the therapist in her language, sent to the carer in his, and once."""

from __future__ import annotations

from tests.journeys.clinic import press, say, told
from tests.journeys.conftest import House


async def test_a_concern_of_today_is_answered_in_the_carers_language(house: House) -> None:
    await say(house, house.grandpa, "vomita todo lo que toma")
    alert = told(house, house.robin, "vomita")[-1]
    await press(house, house.robin, "Short answers", on=alert.message_id)

    offered = house.last(house.robin)
    assert "in Spanish" in offered.text and "none of these yet" in offered.text
    assert "Please call your doctor or nurse line today: 555 0100." in offered.text
    assert "Te llamo" not in offered.text

    count = len(house.heard(house.grandpa))
    house.robin.press("Call the nurse today", message_id=offered.message_id)
    await press(house, house.robin, "Call the nurse today", on=offered.message_id)  # before anything changed
    got = house.last(house.grandpa)
    assert "línea de enfermería: 555 0100" in got.text and got.text.startswith("Robin:")
    shown = house.robin.message(offered.message_id)
    assert shown.text.startswith("✓ Sent to Grandpa: Please call your doctor") and shown.labels() == []
    assert "Robin has answered" in house.robin.message(alert.message_id).text
    said = [each.text for each in house.heard(house.grandpa)[count:]]
    assert sum("línea de enfermería" in text for text in said) == 1


async def test_what_needs_help_now_gets_the_call_and_danger_at_home_gets_none(house: House) -> None:
    await say(house, house.mum, "she is blue and not breathing")
    alert = told(house, house.robin, "blue")[-1]
    await press(house, house.robin, "Short answers", on=alert.message_id)
    assert house.last(house.robin).labels() == ["Call emergency now", "I am calling you now"]

    await say(house, house.mum, "my boyfriend hits me")
    assert "Short answers" not in told(house, house.robin, "boyfriend")[-1].labels()


async def test_a_question_gets_a_short_answer_too(house: House) -> None:
    await say(house, house.mum, "may she wear the new carrier?")
    asked = told(house, house.robin, "carrier")[-1]
    await press(house, house.robin, "Short answers", on=asked.message_id)
    await press(house, house.robin, "I will call you today")
    assert "I will call you today." in house.last(house.mum).text
