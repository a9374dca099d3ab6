"""Asleep, later, unwell, away, fewer reminders, a plan changed at noon, the day the clocks change."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from bot.domain.actor import Actor
from bot.domain.ids import FamilyId, TherapistId
from bot.replies.reading import Reading, Request
from bot.storage.store import Store
from demo.messaging import MessageView, MessagingServer
from tests.journeys.conftest import HALIFAX, House, make_house
from tests.journeys.looking import family_row, football_first, planned, reminder_states, rows_of
from tests.journeys.scripted_reader import read_as


@pytest.fixture
def caseload() -> dict[str, Any]:
    return football_first()


async def say(house: House, text: str) -> MessageView:
    house.mum.say(text)
    await house.settle()
    return house.last(house.mum)


async def press(house: House, label: str, message_id: int | None = None) -> None:
    house.mum.press(label, message_id=message_id)
    await house.settle()


def reminders(house: House) -> list[MessageView]:
    return [
        message for message in house.heard(house.mum) if "Pip: " in message.text and "min." in message.text
    ]


async def test_asleep_holds_reminders_back_until_the_next_waking_time(house: House) -> None:
    reminder = await house.to_first_reminder()
    await press(house, "Asleep", reminder.message_id)
    assert "quiet until 10:30 AM" in house.mum.message(reminder.message_id).text
    await house.at(10, 29)
    assert len(reminders(house)) == 0

    await house.at(13, 0)
    assert len(reminders(house)) > 0
    assert (await reminder_states(house))[0] == "skipped"


async def test_asleep_holds_for_twenty_minutes_at_least(house: House) -> None:
    await house.at(10, 25)
    answer = await say(house, "asleep")
    assert "10:45 AM" in answer.text
    await house.at(10, 44)

    assert all(row.due_at.astimezone(HALIFAX).time().isoformat() >= "10:45" for row in await planned(house))


async def test_awake_again_by_a_tap_or_a_word_brings_reminders_back(house: House) -> None:
    await house.to_first_reminder()
    for wake in ("tap", "word"):
        await say(house, "asleep")
        assert (await family_row(house)).asleep_until is not None
        if wake == "tap":
            await press(house, "Awake now")
        else:
            assert (await say(house, "she's up now")).text == "Good. Pip is up, so I go on."
        assert (await family_row(house)).asleep_until is None
        assert await planned(house)


async def test_awake_by_word_after_asleep_is_no_return_from_a_pause(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"she's up": Reading(request=Request("resume"))})
    await house.to_first_reminder()
    await say(house, "asleep")

    assert (await say(house, "she's up")).text == "Good. Pip is up, so I go on."


async def test_later_with_a_time_brings_the_same_activity_back_then(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"at 11:25": Reading(request=Request("later", minutes=228))})
    reminder = await house.to_first_reminder()
    assert house.clock.now().astimezone(HALIFAX).strftime("%H:%M") == "07:37"
    answer = await say(house, "at 11:25")
    assert "the football hold again at 11:25 AM" in answer.text

    await house.at(11, 26)
    assert reminders(house)[-1].text.split("\n")[0] == reminder.text.split("\n")[0]


async def test_later_without_a_reminder_is_quiet_until_then(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"give me two hours": Reading(request=Request("later", minutes=120))})
    await house.at(7, 5)
    assert "Quiet until 9:05 AM" in (await say(house, "give me two hours")).text
    await house.at(9, 5)
    assert reminders(house) == []


@pytest.mark.parametrize(("word", "reason"), [("poorly today", "unwell"), ("at grandma's", "away")])
async def test_unwell_or_away_offers_a_pause_and_makes_none_by_itself(
    house: House, monkeypatch: pytest.MonkeyPatch, word: str, reason: str
) -> None:
    read_as(monkeypatch, {word: Reading(skipped=reason)})  # type: ignore[arg-type]
    await house.to_first_reminder()
    answer = await say(house, word)
    assert answer.labels() == ["For today", "3 days", "A week", "Until I say so", "No"]
    assert (await family_row(house)).state == "active"

    await press(house, "3 days")
    assert "until Thursday 5 March" in house.mum.message(answer.message_id).text
    before = len(house.heard(house.mum))
    await house.at(23, 0, day=2)
    assert len(house.heard(house.mum)) == before
    await house.at(20, 0, day=3)
    assert len(house.heard(house.mum)) > before


async def test_a_pause_until_the_carer_says_ends_only_by_word(house: House) -> None:
    answer = await say(house, "/pause")
    assert "until Tuesday 3 March" in answer.text
    await press(house, "Until I say so")
    assert house.mum.message(answer.message_id).labels()[-1] == "Start again"
    await house.at(12, 0, day=2)
    assert reminders(house) == []
    assert 'write "start again"' in (await say(house, "/today")).text

    await press(house, "Start again", answer.message_id)
    await house.at(20, 0, day=2)
    assert reminders(house) != []


async def test_fewer_reminders_is_done_at_once_and_stays(house: House) -> None:
    answer = await say(house, "fewer reminders please")
    assert answer.text == "All right. From now on at most 5 reminders a day."
    for most in (4, 3, 2):
        await press(house, "Remind me less", answer.message_id)
        assert f"at most {most} reminders" in house.mum.message(answer.message_id).text
    await house.at(23, 0)
    assert len(reminders(house)) == 2
    await house.at(23, 0, day=1)
    assert len(reminders(house)) <= 4

    await press(house, "Remind me more", answer.message_id)
    assert (await family_row(house)).asked_load == (await family_row(house)).budget


async def test_one_a_day_is_the_least_and_a_pause_is_offered(house: House) -> None:
    answer = await say(house, "fewer reminders please")
    for _ in range(5):
        await press(house, "Remind me less", answer.message_id)

    assert house.mum.message(answer.message_id).labels() == ["Pause a while", "No"]
    assert (await family_row(house)).budget == 1


async def test_more_than_the_plan_allows_is_the_therapists_to_change(house: House) -> None:
    await say(house, "/help")
    await press(house, "Remind me more")

    assert "Your plan has at most 6 a day" in house.last(house.mum).text
    assert (await family_row(house)).budget in (None, 6)


async def test_a_plan_changed_at_noon_rules_the_afternoon(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_as(monkeypatch, {"this afternoon": Reading(request=Request("later", minutes=400))})
    await house.to_first_reminder()
    await say(house, "this afternoon")
    await house.at(12, 0)
    with house.store.write() as uow:
        version = uow.plans.current(FamilyId("f1"))
        assert version is not None
        kept = [each for each in version.document["activities"] if each["activity"] == "tummy_time"]
        document = {**version.document, "activities": kept}
        uow.plans.add(
            FamilyId("f1"), document, made_by=Actor.therapist(TherapistId("t1")), now=house.clock.now()
        )
    before = len(reminders(house))
    await house.at(20, 0)

    afternoon = reminders(house)[before:]
    assert afternoon
    assert all("Tummy time" in message.text for message in afternoon)


@pytest.mark.parametrize(
    ("eve", "offset"),
    [(datetime(2026, 3, 7, 21, tzinfo=HALIFAX), -3), (datetime(2026, 10, 31, 21, tzinfo=HALIFAX), -4)],
)
async def test_on_the_day_the_clocks_change_reminders_keep_the_wall_clock(
    store: Store, server: MessagingServer, caseload: dict[str, Any], eve: datetime, offset: int
) -> None:
    async for house in make_house(store, server, caseload, eve):
        await house.rehearsal.jump(eve + timedelta(days=1))
        sent = [row.sent_at.astimezone(HALIFAX) for row in await rows_of(house, "reminders") if row.sent_at]

    assert sent
    spans = (("07:00", "09:00"), ("10:30", "12:30"), ("14:00", "16:00"), ("17:30", "19:30"))
    for local in sent:
        assert local.utcoffset() == timedelta(hours=offset)
        assert any(start <= f"{local:%H:%M}" <= end for start, end in spans)


async def test_today_says_what_was_done_what_comes_and_why(house: House) -> None:
    await house.to_first_reminder()
    await say(house, "5 min")
    told = (await say(house, "/today")).text

    assert told.startswith("Today with Pip\n✓ So far: 5 min of the football hold.")
    assert "tummy time, " in told
    await say(house, "asleep")
    assert "Pip is asleep. Quiet until 10:30 AM." in (await say(house, "/today")).text


async def test_the_week_is_a_picture(house: House) -> None:
    await house.to_first_reminder()
    await say(house, "5 min")
    picture = await say(house, "/week")

    assert picture.kind == "photo"
    assert picture.text == "The week with Pip."
