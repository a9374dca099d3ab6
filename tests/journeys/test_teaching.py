"""A therapist's photo, clip or voice note reaches one family, with their agreement, and nobody else."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sqlalchemy import select, text, update
from telegram import Bot
from telegram.error import NetworkError

from bot.storage.tables import audit, materials
from demo.messaging import MessageView, Person
from demo.messaging.person import SMALL_PICTURE
from tests.journeys.conftest import CASELOAD, House

CLIP = b"a clip of the football hold"


@pytest.fixture
def caseload() -> dict[str, Any]:
    """Two families of one therapist; Grandpa is a carer in both."""
    both = copy.deepcopy(CASELOAD)
    other = copy.deepcopy(both["families"][0])
    other |= {"id": "f2"}
    other["plan"]["baby"] |= {"nickname": "Wren"}
    other["carers"] = [
        {"id": "c3", "chat_id": 5003, "name": "Dad", "consented": True},
        {"id": "c2", "chat_id": 5002, "name": "Grandpa", "consented": True},
    ]
    other["prompts_to"] = ["c3"]
    both["families"].append(other)
    both["families"][0]["carers"][1]["language"] = "en"
    return both


async def press(house: House, end: str) -> MessageView:
    message, button = next(
        (message, button)
        for message in reversed(house.heard(house.robin))
        for line in message.buttons
        for button in line
        if button.data and button.data.endswith(end)
    )
    house.robin.press(data=button.data, message_id=message.message_id)
    await house.settle()
    return house.robin.message(message.message_id)


async def keep_for_pip(house: House, caption: str = "Pip, football: elbow under the chest") -> None:
    house.robin.video(CLIP, caption)
    await house.settle()
    await press(house, ":yes")


async def ask(
    house: House, person: Person, words: str = "how do I do the football hold again?"
) -> list[MessageView]:
    before = len(house.heard(person))
    person.say(words)
    await house.settle()
    return house.heard(person)[before:]


async def test_what_the_caption_says_is_not_asked_and_the_family_must_have_agreed(house: House) -> None:
    house.robin.video(CLIP, "Pip, football: elbow under the chest")
    await house.settle()
    asked = house.last(house.robin)
    before = await ask(house, house.mum)

    assert asked.text.startswith("Keep this for Pip, the football hold?")
    assert "They read with it: elbow under the chest" in asked.text
    assert asked.labels() == ["The family agreed", "Do not keep it"]
    assert [message.kind for message in before] == ["text"]


async def test_a_kept_clip_comes_with_the_card_of_that_hold(house: House) -> None:
    await keep_for_pip(house)
    shown = await ask(house, house.mum)

    assert [message.kind for message in shown] == ["video", "text"]
    assert shown[0].text == "From your therapist: elbow under the chest"
    assert "stop" in shown[1].text.lower()


async def test_without_a_caption_family_hold_and_agreement_are_asked_one_by_one(house: House) -> None:
    house.robin.photo(SMALL_PICTURE)
    await house.settle()
    first = house.last(house.robin)
    second = await press(house, ":f:f1")
    third = await press(house, ":a:football_hold")
    kept = await press(house, ":yes")

    assert (first.text, first.labels()) == ("Who is this for?", ["Pip", "Wren", "Do not keep it"])
    assert second.text == "Which hold does this show Pip's family?"
    assert second.labels()[:2] == ["Tummy time", "Football hold"]
    assert third.text.startswith("Keep this for Pip, the football hold?")
    assert kept.text.startswith("✓ Kept for Pip, the football hold.")
    assert [message.kind for message in await ask(house, house.mum)] == ["photo", "text"]


async def test_a_voice_note_is_kept_too(house: House) -> None:
    house.robin.voice(b"a voice")
    await house.settle()
    for end in (":f:f1", ":a:football_hold", ":yes"):
        await press(house, end)

    assert [message.kind for message in await ask(house, house.mum)] == ["voice", "text"]


async def test_another_family_never_sees_it(house: House) -> None:
    await keep_for_pip(house)
    theirs = await ask(house, house.person(5003))

    assert [message.kind for message in theirs] == ["text"]


async def test_a_carer_of_two_babies_sees_it_for_the_right_baby_alone(house: House) -> None:
    await keep_for_pip(house)
    of_wren = await ask(house, house.grandpa, "how do I do the football hold with Wren?")
    of_pip = await ask(house, house.grandpa, "how do I do the football hold with Pip?")

    assert [message.kind for message in of_wren] == ["text"]
    assert [message.kind for message in of_pip] == ["video", "text"]


async def test_another_hold_of_the_same_family_does_not_show_it(house: House) -> None:
    await keep_for_pip(house)

    await ask(house, house.mum, "/howto")
    before = len(house.heard(house.mum))
    house.mum.press(data="how:tummy_time")
    await house.settle()

    assert [message.kind for message in house.heard(house.mum)[before:]] == ["text"]


async def test_what_is_not_agreed_is_not_kept(house: House) -> None:
    house.robin.video(CLIP, "Pip, football")
    await house.settle()
    said = await press(house, ":no")

    assert said.text == "Not kept."
    with house.store.read() as uow:
        assert (uow.conn.execute(select(materials))).first() is None


async def test_two_files_sent_one_after_the_other_are_both_asked_about(house: House) -> None:
    house.robin.video(CLIP, "Pip football")
    house.robin.photo(SMALL_PICTURE, "Pip tummy")
    await house.settle()
    await press(house, ":yes")
    house.robin.press("The family agreed", message_id=house.heard(house.robin)[-2].message_id)
    await house.settle()
    house.robin.say("/material pip")
    await house.settle()

    listed = house.last(house.robin)
    assert "1. Tummy time, photo, Mon 2 Mar" in listed.text
    assert "2. Football hold, video from Mon 2 Mar" in listed.text


async def test_material_is_listed_shown_and_taken_back(house: House) -> None:
    await keep_for_pip(house)
    house.robin.say("/material pip")
    await house.settle()
    listed = house.last(house.robin)
    await press(house, "matshow:1")
    shown = house.last(house.robin)
    after = await press(house, "matback:1")

    assert "1. Football hold, video from Mon 2 Mar: elbow under the chest" in listed.text
    assert (shown.kind, shown.text) == ("video", "elbow under the chest")
    assert after.text.startswith("Taken back.")
    assert [message.kind for message in await ask(house, house.mum)] == ["text"]
    with house.store.read() as uow:
        row = (uow.conn.execute(select(materials))).one()
        noted = [each.what for each in uow.conn.execute(select(audit).where(audit.c.what.like("material%")))]
    assert row.content is None
    assert noted == ["material kept, family agreed", "material taken back"]


async def test_the_content_is_fetched_and_sealed(house: House) -> None:
    await keep_for_pip(house)

    with house.store.read() as uow:
        opened = (uow.conn.execute(select(materials.c.content, materials.c.fetch_at))).one()
        stored = uow.conn.scalar(text("select content from materials"))
    assert (opened.content, opened.fetch_at) == (CLIP, None)
    assert CLIP not in stored


async def test_where_the_service_no_longer_knows_the_file_its_content_is_sent_and_the_new_id_kept(
    house: House,
) -> None:
    await keep_for_pip(house)
    with house.store.write() as uow:
        uow.conn.execute(update(materials).values(file_id="of-another-bot"))
    first = await ask(house, house.mum)
    second = await ask(house, house.mum)

    assert [message.kind for message in first] == ["video", "text"]
    assert [message.kind for message in second] == ["video", "text"]
    assert first[0].file_id == second[0].file_id
    with house.store.read() as uow:
        assert uow.conn.scalar(select(materials.c.file_id)) == first[0].file_id


async def test_a_file_too_big_to_fetch_is_still_shown_by_its_id(house: House) -> None:
    house.robin.video(b"x" * (20 * 1024 * 1024 + 1), "Pip football")
    await house.settle()
    await press(house, ":yes")

    assert [message.kind for message in await ask(house, house.mum)] == ["video", "text"]
    with house.store.read() as uow:
        row = (uow.conn.execute(select(materials))).one()
    assert (row.content, row.fetch_at) == (None, None)


async def test_an_old_button_after_the_file_was_settled_asks_to_send_it_again(house: House) -> None:
    house.robin.video(CLIP, "Pip football")
    await house.settle()
    asked = house.last(house.robin)
    yes = asked.buttons[0][0].data
    house.robin.press(data=yes)
    house.robin.press(data=yes)
    await house.settle()

    with house.store.read() as uow:
        assert len((uow.conn.execute(select(materials))).all()) == 1


async def test_a_download_that_fails_is_tried_again_later(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def away(*_: Any, **__: Any) -> None:
        raise NetworkError("the service is away")

    async def content() -> bytes | None:
        with house.store.read() as uow:
            found: bytes | None = uow.conn.scalar(select(materials.c.content))
            return found

    with monkeypatch.context() as patched:
        patched.setattr(Bot, "get_file", away)
        await keep_for_pip(house)
        await house.settle()
    before = await content()
    at_once = await ask(house, house.mum)
    await house.at(6, 2)

    assert before is None
    assert [message.kind for message in at_once] == ["video", "text"]
    assert await content() == CLIP
