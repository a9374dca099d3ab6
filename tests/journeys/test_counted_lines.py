"""What was counted is shown in one line, and can be taken back, changed, corrected and edited in place."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.replies.reading import Entry, Reading, Request
from demo.messaging import MessageView
from tests.journeys.conftest import House
from tests.journeys.looking import counted, football_first, minutes_counted, reminder_states, rows_of
from tests.journeys.scripted_reader import read_as


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


BOTH = Reading(entries=(Entry("football_hold", 5, "left"), Entry("football_hold", 5, "right")))


async def say(house: House, text: str, **how: int) -> MessageView:
    house.mum.say(text, **how)
    await house.settle()
    return house.last(house.mum)


async def press(house: House, label: str, message_id: int | None = None) -> None:
    house.mum.press(label, message_id=message_id)
    await house.settle()


async def test_change_undo_and_redo_all_happen_in_the_same_line(house: House) -> None:
    await house.to_first_reminder()
    line = await say(house, "12 min")
    said = len(house.heard(house.mum))
    for label, minutes in (("Change", [12]), ("15 min", [15]), ("Change", [15]), ("20 min", [20])):
        await press(house, label, line.message_id)
        assert await minutes_counted(house) == minutes
    await press(house, "Undo", line.message_id)
    assert await minutes_counted(house) == []
    await press(house, "Count it again", line.message_id)
    assert await minutes_counted(house) == [20]
    await press(house, "Undo", line.message_id)

    assert house.mum.message(line.message_id).text.startswith("Undone: 20 min")
    assert len(house.heard(house.mum)) == said
    assert await counted(house) == []


async def test_change_can_be_left_alone(house: House) -> None:
    await house.to_first_reminder()
    line = await say(house, "12 min")
    await press(house, "Change", line.message_id)
    await press(house, "Leave it", line.message_id)

    assert house.mum.message(line.message_id).text == line.text
    assert house.mum.message(line.message_id).labels() == ["Undo", "Change"]


async def test_after_change_a_typed_number_answers_it_though_a_reminder_is_open(house: House) -> None:
    first = await house.to_first_reminder()
    await press(house, first.labels()[0])
    await house.to_first_reminder()
    await press(house, "Change", first.message_id)
    line = await say(house, "12 min")

    assert [minutes for _, minutes, _ in await counted(house)] == [12]
    assert line.labels() == ["Undo", "Change"]
    assert house.mum.message(first.message_id).text.startswith("✓ 12 min of the football hold")
    assert house.mum.message(first.message_id).labels() == []
    assert await reminder_states(house) == ["answered", "sent"]


async def test_an_edited_correction_corrects_again_in_its_own_line(house: House) -> None:
    first = await house.to_first_reminder()
    await press(house, first.labels()[0])
    await house.to_first_reminder()
    await press(house, "Change", first.message_id)
    line = await say(house, "12 min")
    said = len(house.heard(house.mum))
    house.mum.edit(line.message_id - 1, "15 min")
    await house.settle()

    assert await minutes_counted(house) == [15]
    assert house.mum.message(line.message_id).text.startswith("✓ 15 min of the football hold")
    assert len(house.heard(house.mum)) == said
    assert await reminder_states(house) == ["answered", "sent"]


async def test_an_edited_answer_to_how_many_changes_that_entry(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    some = Reading(entries=(Entry("tummy_time", None),), confirm=True)
    read_as(monkeypatch, {"some tummy": some})
    await say(house, "some tummy")
    line = await say(house, "10 min")
    house.mum.edit(line.message_id - 1, "12 min")
    await house.settle()

    assert await counted(house) == [("tummy_time", 12, None)]
    assert house.mum.message(line.message_id).text.startswith("✓ 12 min of tummy time")


async def test_an_edited_question_reaches_the_therapist_again(house: House) -> None:
    house.mum.say("Can he nap after?")
    await house.settle()
    own = house.mum.messages()[0].message_id
    house.mum.edit(own, "Can he nap right after?")
    await house.settle()

    assert "Can he nap right after?" in house.last(house.robin).text
    assert await counted(house) == []


async def test_of_several_entries_one_is_changed_and_all_are_shown(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"5 each side": BOTH})
    line = await say(house, "5 each side")
    await press(house, "Change", line.message_id)
    await press(house, "5 min · right", line.message_id)
    await press(house, "10 min", line.message_id)

    assert await counted(house) == [("football_hold", 5, "left"), ("football_hold", 10, "right")]
    shown = house.mum.message(line.message_id).text
    assert "5 min of the football hold, left side" in shown
    assert "10 min of the football hold, right side" in shown

    await press(house, "Undo", line.message_id)
    assert await counted(house) == []


async def test_the_side_can_be_put_right_with_a_tap(house: House) -> None:
    reminder = await house.to_first_reminder()
    await press(house, reminder.labels()[0])
    await press(house, "Change", reminder.message_id)
    await press(house, "It was left", reminder.message_id)

    assert await counted(house) == [("football_hold", 5, "left")]
    assert "left side" in house.mum.message(reminder.message_id).text


async def test_an_edited_message_counts_anew_and_its_line_follows(house: House) -> None:
    await house.to_first_reminder()
    line = await say(house, "12 min")
    own = line.message_id - 1
    for text, minutes in (("14 min", [14]), ("15 min", [15]), ("15 min", [15])):
        house.mum.edit(own, text)
        await house.settle()
        assert await minutes_counted(house) == minutes
        assert house.mum.message(line.message_id).text.startswith(f"✓ {minutes[0]} min")


async def test_what_an_edit_replaced_never_counts_again(house: House) -> None:
    await house.to_first_reminder()
    line = await say(house, "12 min")
    house.mum.edit(line.message_id - 1, "15 min")
    await house.settle()
    await press(house, "Undo", line.message_id)
    await press(house, "Count it again", line.message_id)

    assert await minutes_counted(house) == [15]


async def test_minutes_that_turn_into_a_question_are_taken_back_and_the_reminder_opens_again(
    house: House,
) -> None:
    reminder = await house.to_first_reminder()
    line = await say(house, "12 min")
    house.mum.edit(line.message_id - 1, "how do I do the football hold again?")
    await house.settle()

    assert await counted(house) == []
    assert house.mum.message(line.message_id).text.startswith("Undone: 12 min")
    assert house.mum.message(line.message_id).labels() == []
    assert house.mum.message(reminder.message_id).labels() == reminder.labels()
    assert "Football hold" in house.last(house.mum).text

    house.mum.edit(line.message_id - 1, "12 min")
    await house.settle()
    assert await minutes_counted(house) == [12]
    assert house.mum.message(line.message_id).labels() == ["Undo", "Change"]
    assert await reminder_states(house) == ["answered"]


async def test_an_edit_from_asleep_to_minutes_ends_the_quiet(house: House) -> None:
    await house.to_first_reminder()
    line = await say(house, "asleep")
    house.mum.edit(line.message_id - 1, "12 min")
    await house.settle()

    assert await minutes_counted(house) == [12]
    assert await rows_of(house, "skips") == []
    assert await reminder_states(house) == ["answered"]
    before = len(house.heard(house.mum))
    await house.rehearsal.jump(house.clock.now() + timedelta(hours=5))
    assert len(house.heard(house.mum)) > before


@pytest.mark.parametrize("by_button", [True, False])
async def test_minutes_that_quote_a_counted_line_correct_it(house: House, by_button: bool) -> None:
    reminder = await house.to_first_reminder()
    if by_button:
        await press(house, reminder.labels()[0])
        line = house.mum.message(reminder.message_id)
    else:
        line = await say(house, "done")
    await house.to_first_reminder()
    await say(house, "10 min")
    newer = await say(house, "15 min", reply_to=line.message_id)

    assert sorted(await minutes_counted(house)) == [10, 15]
    assert newer.text.startswith("✓ 15 min of the football hold")
    assert newer.labels() == ["Undo", "Change"]
    assert house.mum.message(line.message_id).text.startswith("✓ 15 min")

    await say(house, "12 min", reply_to=newer.message_id)
    assert sorted(await minutes_counted(house)) == [10, 12]


async def test_a_correction_in_words_changes_the_last_entry(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    meant = Reading(entries=(Entry(None, 15),), request=Request("correct"))
    read_as(monkeypatch, {"sorry, meant 15": meant})
    await house.to_first_reminder()
    await say(house, "12 min")
    line = await say(house, "sorry, meant 15")

    assert await minutes_counted(house) == [15]
    assert line.text.startswith("✓ 15 min")


async def test_undo_in_words_takes_back_what_is_quoted_else_the_last(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"undo": Reading(request=Request("undo"))})
    await house.to_first_reminder()
    first = await say(house, "12 min")
    await house.to_first_reminder()
    await say(house, "10 min")
    await say(house, "undo", reply_to=first.message_id)
    assert await minutes_counted(house) == [10]
    assert house.mum.message(first.message_id).text.startswith("Undone: 12 min")

    await say(house, "undo")
    assert await counted(house) == []
    assert "nothing to undo" in (await say(house, "undo")).text


async def test_minutes_of_another_day_leave_todays_reminder_open(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"football 5 yesterday": Reading(entries=(Entry("football_hold", 5, None, -1),))})
    await house.to_first_reminder()
    line = await say(house, "football 5 yesterday")

    assert "yesterday" in line.text
    assert await reminder_states(house) == ["sent"]
    assert [row.local_date.day for row in await rows_of(house, "sessions")] == [1]


async def test_what_is_missing_is_asked_and_may_be_typed(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    some = Reading(entries=(Entry("tummy_time", None), Entry("football_hold", 5, "left")), confirm=True)
    read_as(monkeypatch, {"some tummy, football 5 left": some})
    question = await say(house, "some tummy, football 5 left")
    assert "How many minutes" in question.text
    assert await minutes_counted(house) == [5]

    line = await say(house, "10 min")
    assert sorted(await minutes_counted(house)) == [5, 10]
    assert line.labels() == ["Undo", "Change"]
    assert house.mum.message(question.message_id).labels() == []


async def test_an_unsure_entry_is_counted_by_yes_and_dropped_by_no(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    unsure = Reading(entries=(Entry("tummy_time", 5),), confirm=True)
    read_as(
        monkeypatch, {"tummy 5 or 10": unsure, "yes": Reading(confirm=True), "no": Reading(skipped="other")}
    )
    await say(house, "tummy 5 or 10")
    await say(house, "no")
    assert await counted(house) == []

    await say(house, "tummy 5 or 10")
    assert (await say(house, "yes")).text.startswith("✓ 5 min of tummy time")
    assert await minutes_counted(house) == [5]


async def like_entries(house: House, monkeypatch: pytest.MonkeyPatch) -> MessageView:
    """Mum answers a reminder; Grandpa logs the same by himself, and is asked."""
    read_as(monkeypatch, {"football 5": Reading(entries=(Entry("football_hold", 5, "right"),))})
    reminder = await house.to_first_reminder()
    await press(house, reminder.labels()[0])
    house.grandpa.say("football 5")
    await house.settle()
    assert len(await counted(house)) == 2
    return house.last(house.grandpa)


async def test_two_carers_with_the_same_minutes_are_asked_once(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    question = await like_entries(house, monkeypatch)
    assert question.labels() == ["Una vez", "Dos veces"]

    house.grandpa.press("Una vez")
    house.grandpa.press("Una vez")
    await house.settle()
    assert len(await counted(house)) == 1
    assert await reminder_states(house) == ["answered"]


async def test_one_time_takes_nothing_back_where_the_other_entry_is_gone(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    question = await like_entries(house, monkeypatch)
    await press(house, "Undo")
    house.grandpa.press("Una vez", message_id=question.message_id)
    await house.settle()

    assert len(await counted(house)) == 1


async def test_one_time_knows_an_entry_that_was_edited_meanwhile(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    question = await like_entries(house, monkeypatch)
    six = Reading(entries=(Entry("football_hold", 6, "right"),))
    read_as(monkeypatch, {"football 6": six})
    own = next(message.message_id for message in house.grandpa.messages() if not message.by_bot)
    house.grandpa.edit(own, "football 6")
    await house.settle()
    house.grandpa.press("Una vez", message_id=question.message_id)
    await house.settle()

    assert await minutes_counted(house) == [5]
