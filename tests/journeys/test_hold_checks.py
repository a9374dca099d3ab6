"""A family shows how it does a hold; what the therapist answers stands on its card from then on."""

from __future__ import annotations

from demo.messaging import MessageView, Person
from tests.journeys.conftest import House

CLIP = b"how we hold her"


async def shows(house: House, who: Person, caption: str = "") -> MessageView:
    who.video(CLIP, caption)
    await house.settle()
    return house.last(who)


async def card(house: House, words: str) -> str:
    house.mum.say(words)
    await house.settle()
    return next(text for text in reversed(house.texts(house.mum)) if "STOP if" in text)


async def robin_answers(house: House, text: str) -> None:
    asked = next(each for each in reversed(house.heard(house.robin)) if "Answer" in each.labels())
    house.robin.say(text, reply_to=asked.message_id)
    await house.settle()


async def test_a_video_after_a_reminder_is_of_its_hold_and_the_answer_stands_on_the_card(
    house: House,
) -> None:
    await house.to_first_reminder()

    told = await shows(house, house.mum, "is this right?")
    assert "said that it shows tummy time" in (told.text or "")
    assert "It shows tummy time" in house.texts(house.robin)[-1]
    assert house.last(house.robin).file_id is not None

    await robin_answers(house, "elbow closer in")

    assert "From Robin, 2 Mar 2026: elbow closer in" in await card(house, "show me tummy time")
    assert "elbow closer in" not in await card(house, "show me the football hold")


async def test_a_video_out_of_the_blue_goes_at_once_and_the_hold_is_named_by_a_tap(house: House) -> None:
    asked = await shows(house, house.mum)
    assert "Which hold does it show?" in (asked.text or "")
    assert house.last(house.robin).file_id is not None

    house.mum.press("Football hold", message_id=asked.message_id)
    await house.settle()
    assert "it shows the football hold" in house.texts(house.robin)[-1]
    await robin_answers(house, "Lovely. More support under the elbow.")

    assert "More support under the elbow" in await card(house, "how do I do the football hold")


async def test_an_answer_by_video_comes_with_the_card(house: House) -> None:
    await house.to_first_reminder()
    await shows(house, house.mum)
    asked = next(each for each in reversed(house.heard(house.robin)) if "Answer" in each.labels())
    house.robin.photo(caption="like this", reply_to=asked.message_id)
    await house.settle()
    before = len(house.heard(house.mum))

    assert "Robin looked at how you do it" in await card(house, "show me tummy time")
    assert any(each.file_id for each in house.heard(house.mum)[before:])


async def test_a_caption_with_minutes_counts_and_one_with_a_concern_is_advised(house: House) -> None:
    await house.to_first_reminder()

    await shows(house, house.mum, "10 min on her tummy")
    assert any(text.startswith("✓ 10 min of tummy time") for text in house.texts(house.mum))

    await shows(house, house.mum, "she is blue around the mouth")
    assert any("Call 555 0199" in text for text in house.texts(house.mum))


async def test_words_that_name_the_hold_tie_the_file_to_it_and_are_asked_about_once(house: House) -> None:
    before = len(house.heard(house.mum)), len(house.heard(house.robin))

    told = await shows(house, house.mum, "football hold, is my hand right?")

    assert "said that it shows the football hold" in (told.text or "")
    assert len(house.heard(house.mum)) == before[0] + 1
    assert len(house.heard(house.robin)) == before[1] + 1
    await robin_answers(house, "a flatter hand")
    assert "From Robin, 2 Mar 2026: a flatter hand" in await card(house, "show me the football hold")


async def test_an_answer_that_came_before_the_hold_was_named_stands_on_its_card_too(house: House) -> None:
    asked = await shows(house, house.mum)
    await robin_answers(house, "toys on the right")

    house.mum.press("Tummy time", message_id=asked.message_id)
    await house.settle()

    assert "From Robin, 2 Mar 2026: toys on the right" in await card(house, "show me tummy time")


async def test_what_is_open_of_a_family_shows_the_file_once_more(house: House) -> None:
    await shows(house, house.mum, "tummy time")
    house.robin.say("Pip")
    await house.settle()

    house.robin.press("Show open ones (1)")
    await house.settle()

    assert house.last(house.robin).file_id is not None
