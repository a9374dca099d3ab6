"""Twins are two babies in one chat: always named, and asked about where a message could be either's."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sqlalchemy import select

from bot.domain.ids import FamilyId
from bot.storage.tables import concerns, messages, sessions
from tests.journeys.conftest import CASELOAD, House
from tests.journeys.talks import does, family_row


@pytest.fixture
def caseload() -> dict[str, Any]:
    twins = copy.deepcopy(CASELOAD)
    second = copy.deepcopy(twins["families"][0])
    second["id"], second["plan"]["baby"]["nickname"] = "f2", "Moe"
    second["plan"]["baby"]["affected_side"] = "left"
    second["carers"], second["prompts_to"] = second["carers"][:1], ["c1"]
    # Moe sleeps in, so that the first reminder is Pip's alone.
    second["plan"]["awake"][0] = ["08:45", "09:00"]
    twins["families"].append(second)
    return twins


async def counted(house: House) -> list[tuple[str, float | None]]:
    with house.store.read() as uow:
        rows = uow.conn.execute(select(sessions).where(sessions.c.state == "counted").order_by(sessions.c.id))
        return [(row.family_id, row.minutes) for row in rows]


async def worried(house: House) -> list[str]:
    with house.store.read() as uow:
        return sorted((uow.conn.scalars(select(concerns.c.family_id))).all())


async def test_a_reply_that_could_be_either_is_asked_about_before_it_counts(house: House) -> None:
    asked = await does(house, house.mum, "how do I do the football hold again?")
    assert asked.text == "Which baby is this about?"
    assert asked.labels() == ["Pip", "Moe", "Both"]

    card = await does(house, house.mum, "[Moe]")

    assert "Moe" in card.text
    assert "Pip" not in card.text
    assert house.mum.message(asked.message_id).text == "This is about Moe."


async def test_minutes_wait_for_the_answer_and_then_count_for_that_baby_with_its_name(house: House) -> None:
    await house.at(12)  # by now each has had a reminder
    asked = await does(house, house.mum, "10 min")
    assert asked.labels() == ["Pip", "Moe", "Both"]
    assert await counted(house) == []

    await does(house, house.mum, "[Moe]")

    assert await counted(house) == [("f2", 10.0)]
    assert house.last(house.mum).text.startswith("Moe: ✓ 10 min")
    assert house.mum.message(asked.message_id).labels() == []


async def test_both_counts_for_each_and_an_edit_corrects_both(house: House) -> None:
    await house.at(12)
    sent = house.mum.say("10 min")
    await house.settle()
    await does(house, house.mum, "[Both]")
    assert sorted(await counted(house)) == [("f1", 10.0), ("f2", 10.0)]

    house.mum.edit(sent, "12 min")
    await house.settle()
    assert sorted(await counted(house)) == [("f1", 12.0), ("f2", 12.0)]

    await does(house, house.mum, "[Undo]")
    assert len(await counted(house)) == 1


async def test_a_day_told_for_both_is_changed_for_each_by_its_own_tap(house: House) -> None:
    await does(house, house.mum, "bath is at 6 now", "[Both]")
    pip, moe = house.heard(house.mum)[-2:]
    for question in (moe, pip):
        house.mum.press("Yes, change it", message_id=question.message_id)
        await house.settle()

    with house.store.read() as uow:
        plans = [uow.plans.current(FamilyId(family)) for family in ("f1", "f2")]
    assert [plan.document["moments"] for plan in plans if plan] == [{"bath": ["18:00"]}] * 2


async def test_twins_travel_together(house: House) -> None:
    await does(house, house.mum, "we are in Madrid till Sunday", "[Yes, change it]")
    assert {(await family_row(house, f)).zone.key for f in ("f1", "f2")} == {"Europe/Madrid"}

    await does(house, house.mum, "we are home")
    assert {(await family_row(house, f)).zone.key for f in ("f1", "f2")} == {"America/Halifax"}


async def test_a_name_in_the_message_tells_and_nothing_is_asked(house: House) -> None:
    card = await does(house, house.mum, "how do I do the football hold again for Moe?")

    assert "Moe" in card.text
    assert card.labels() == ["More", "Ask about this"]


async def test_an_open_reminder_of_one_baby_tells_which(house: House) -> None:
    reminder = await house.to_first_reminder()
    assert "Pip" in reminder.text

    line = await does(house, house.mum, "10 min")

    assert line.text.startswith("Pip: ✓ 10 min")


async def test_a_quoted_reminder_and_its_buttons_tell_which(house: House) -> None:
    reminder = await house.to_first_reminder()
    who = "f1" if "Pip" in reminder.text else "f2"
    house.mum.press(reminder.labels()[0], message_id=reminder.message_id)
    await house.settle()
    assert [family for family, _ in await counted(house)] == [who]


async def test_a_question_of_ours_is_answered_for_the_baby_it_was_about(house: House) -> None:
    await house.at(12)
    await does(house, house.mum, "10 min", "[Moe]", "[Change]")

    line = await does(house, house.mum, "7 min")

    assert line.text.startswith("Moe: ✓ 7 min")
    assert await counted(house) == [("f2", 7.0)]


async def test_a_question_left_open_does_not_swallow_a_later_message(house: House) -> None:
    await does(house, house.mum, "/day")
    house.mum.press("Change it")
    await house.settle()
    await does(house, house.mum, "[Naps]")
    await house.at(12)

    asked = await does(house, house.mum, "10 min")

    assert asked.labels() == ["Pip", "Moe", "Both"]


async def test_an_edited_message_stays_with_its_baby(house: House) -> None:
    await house.at(12)
    sent = house.mum.say("10 min")
    await house.settle()
    await does(house, house.mum, "[Moe]")
    house.mum.edit(sent, "12 min")
    await house.settle()

    assert await counted(house) == [("f2", 12.0)]


async def test_a_worry_is_raised_at_once_for_all_babies_and_advised_once(house: House) -> None:
    said = await does(house, house.mum, "he is blue")

    assert await worried(house) == ["f1", "f2"]
    alerts = [text for text in house.texts(house.robin) if "blue" in text]
    assert len(alerts) == 2
    assert any("Pip" in text for text in alerts) and any("Moe" in text for text in alerts)
    advice = [text for text in house.texts(house.mum) if text.startswith("Pip / Moe:")]
    assert len(advice) == 1
    assert any("Robin has been told" in text for text in house.texts(house.mum))
    assert "Which baby" not in said.text


async def test_a_worry_after_a_command_is_raised_for_all_too(house: House) -> None:
    await does(house, house.mum, "/today he is blue")

    assert await worried(house) == ["f1", "f2"]


async def test_a_worry_that_names_its_baby_is_that_babys_alone(house: House) -> None:
    await does(house, house.mum, "Moe is blue")

    assert await worried(house) == ["f2"]


async def test_a_worry_with_minutes_is_raised_first_and_the_minutes_are_asked_about(house: House) -> None:
    asked = await does(house, house.mum, "10 min, he is blue")
    assert asked.text == "Which baby is this about?"
    assert await worried(house) == ["f1", "f2"]

    await does(house, house.mum, "[Pip]")

    assert await worried(house) == ["f1", "f2"]
    with house.store.read() as uow:
        kept = (uow.conn.execute(select(messages.c.family_id, messages.c.text))).all()
    assert [tuple(row) for row in kept] == [("f1", "10 min, he is blue")]


async def test_today_and_pause_are_told_for_each_baby(house: House) -> None:
    await does(house, house.mum, "/today")
    told = house.texts(house.mum)[-2:]
    assert told[0].startswith("Pip: ") and told[1].startswith("Moe: ")

    await does(house, house.mum, "/pause")
    told = house.texts(house.mum)[-2:]
    assert "Pip" in told[0] and "Moe" in told[1]


async def test_the_day_of_one_baby_is_changed_by_the_button_under_it(house: House) -> None:
    await does(house, house.mum, "/day")
    pip, _ = house.heard(house.mum)[-2:]
    house.mum.press("Change it", message_id=pip.message_id)
    await house.settle()
    house.mum.press("Bath", message_id=pip.message_id)
    await house.settle()

    await does(house, house.mum, "6")

    assert house.last(house.mum).text.startswith("Pip: Done. The day with Pip now:")


async def test_an_erased_twin_leaves_the_other_one_whole(house: House) -> None:
    await does(house, house.mum, "he is blue")
    await does(house, house.mum, "/privacy")
    moe = house.last(house.mum)
    assert "Erase everything" in moe.labels()  # Mum alone cares for Moe here
    house.mum.press("Erase everything", message_id=moe.message_id)
    await house.settle()
    await does(house, house.mum, "[Yes, erase it]")

    assert await worried(house) == ["f1"]
    assert "Pip" in (await does(house, house.mum, "/today")).text


async def test_each_babys_reminder_is_answered_by_its_own_button(house: House) -> None:
    seen: dict[str, int] = {}
    while len(seen) < 2:
        due = await house.rehearsal.next_due()
        assert due is not None
        await house.rehearsal.jump(due)
        for message in house.heard(house.mum):
            name = message.text.partition(":")[0]
            if name in ("Pip", "Moe") and message.labels()[:1] and message.labels()[0].startswith("✓"):
                seen[name] = message.message_id
    first, second = sorted(seen, key=lambda name: seen[name])
    house.mum.press(house.mum.message(seen[second]).labels()[0], message_id=seen[second])
    await house.settle()

    assert house.mum.message(seen[second]).text.startswith(f"{second}: ✓")
    assert "✓" not in house.mum.message(seen[first]).text


async def test_names_in_one_message_say_what_is_counted_for_whom(house: House) -> None:
    await house.at(12)
    own = house.mum.say("tummy: Moe 6, Pip 8")
    await house.settle()

    assert sorted(await counted(house)) == [("f1", 8), ("f2", 6)]
    assert not any("Which baby" in text for text in house.texts(house.mum))

    house.mum.edit(own, "tummy: Moe 7, Pip 8")
    await house.settle()
    assert sorted(await counted(house)) == [("f1", 8), ("f2", 7)]


async def test_one_baby_refuses_and_the_other_does_it(house: House) -> None:
    await house.at(12)
    house.mum.say("pip did 5 moe wasn't having it")
    await house.settle()

    assert await counted(house) == [("f1", 5)]


async def test_a_worry_in_a_message_that_names_both_is_raised_for_both(house: House) -> None:
    await house.at(12)
    house.mum.say("Pip 5 min, Moe is blue and not breathing")
    await house.settle()

    assert await worried(house) == ["f1", "f2"]
    assert await counted(house) == []


async def test_what_is_said_of_both_without_a_name_counts_for_each(house: House) -> None:
    await house.at(12)
    await does(house, house.mum, "5 each")

    assert sorted(await counted(house)) == [("f1", 5.0), ("f2", 5.0)]


async def test_the_wrong_baby_is_put_right_with_what_was_taken_back_in_sight(house: House) -> None:
    await does(house, house.mum, "moe 8 tummy")
    await does(house, house.mum, "sorry that was pip")

    assert await counted(house) == [("f1", 8.0)]
    taken_back = next(each for each in reversed(house.heard(house.mum)) if "Count it again" in each.labels())
    assert "8 min" in (taken_back.text or "")
    await does(house, house.mum, "no pip did 6")
    assert await counted(house) == [("f1", 6.0)]


async def test_what_goes_for_the_whole_chat_is_done_for_each_and_answered_for_each(house: House) -> None:
    await does(house, house.mum, "stop")
    assert [text.startswith(("<b>Pip", "Pip", "Moe")) for text in house.texts(house.mum)[-2:]] == [True, True]

    await does(house, house.mum, "no we stay")
    assert [text.endswith("Good, you stay.") for text in house.texts(house.mum)[-2:]] == [True, True]
    await does(house, house.mum, "no messages before 8")
    assert ["8:00" in text for text in house.texts(house.mum)[-2:]] == [True, True]


async def test_a_day_told_of_both_is_changed_for_each_by_one_typed_yes(house: House) -> None:
    await does(house, house.mum, "bath is at 6 for both now", "yes")

    with house.store.read() as uow:
        plans = [uow.plans.current(FamilyId(family)) for family in ("f1", "f2")]
    assert [plan.document["moments"] for plan in plans if plan] == [{"bath": ["18:00"]}] * 2


async def test_what_is_said_of_both_goes_to_both_whoever_was_spoken_of_last(house: House) -> None:
    await does(house, house.mum, "moe 5")  # "5 min of what?" of Moe is open
    await does(house, house.mum, "tummy 6 for both of them")

    assert sorted(await counted(house)) == [("f1", 6.0), ("f2", 6.0)]
