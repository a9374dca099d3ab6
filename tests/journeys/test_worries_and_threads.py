"""Worries, questions, answers and letters between families and therapists, through the real library."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select

from bot.domain.ids import ChatId, TherapistId
from bot.storage.store import Store
from bot.storage.tables import concerns, families, handovers, messages, questions, therapists
from demo.messaging import MessagingServer
from tests.journeys.clinic import alex, dad, nursery, press, say, told, two_therapists
from tests.journeys.conftest import MONDAY, House, make_house

# Any reader of concerns must understand this one: a sign at the top of every list.
BLUE = "help, she is blue and not breathing"


@pytest.fixture
async def house(store: Store, server: MessagingServer) -> AsyncIterator[House]:
    async for house in make_house(store, server, two_therapists(), MONDAY.replace(hour=9)):
        yield house


async def row(house: House, table: Any) -> Any:
    with house.store.read() as uow:
        return (uow.conn.execute(select(table).order_by(table.c.id.desc()).limit(1))).first()


async def test_a_worry_reaches_the_therapist_at_once_word_for_word_with_age_and_figures(house: House) -> None:
    await say(house, house.mum, BLUE)

    alert = house.last(house.robin)
    assert BLUE in alert.text
    assert "Mum" in alert.text and "Pip" in alert.text
    assert "Age: 14 weeks" in alert.text
    assert "Last 7 days: no minutes were logged." in alert.text
    assert alert.labels() == [
        "Seen",
        "Answer",
        "I have called",
        "Not a concern",
        "Short answers",
        "Advice that was sent",
    ]
    assert house.heard(alex(house)) == []


async def test_the_advice_that_was_sent_can_be_read_word_for_word(house: House) -> None:
    await say(house, house.mum, BLUE)
    advice = house.heard(house.mum)[0].text
    await press(house, house.robin, "Advice that was sent")

    assert advice in house.last(house.robin).text


async def test_an_unseen_worry_is_told_again_on_its_schedule_and_no_more_once_seen(house: House) -> None:
    await say(house, house.mum, BLUE)
    start = house.clock.now()
    counts = []
    for minutes in (9, 11, 29, 31, 89, 91):
        await house.rehearsal.jump(start + timedelta(minutes=minutes))
        counts.append(len(told(house, house.robin, BLUE)))

    assert counts == [1, 2, 2, 3, 3, 4]
    assert "Sent before: 1×" in told(house, house.robin, BLUE)[1].text

    await press(house, house.robin, "Seen")
    await house.rehearsal.jump(start + timedelta(hours=6))
    assert len(told(house, house.robin, BLUE)) == 4


async def test_thirteen_concerns_are_one_message_one_seen_and_one_word(house: House) -> None:
    wordings = [f"she is blue and not breathing, call {n}" for n in range(13)]
    for wording in wordings:
        await say(house, house.mum, wording)
    assert len(told(house, house.mum, "Robin has been told")) == 1
    start = len(house.heard(house.robin))
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=11))

    came = house.heard(house.robin)[start:]
    assert len(came) == 1
    assert all(wording in came[0].text for wording in wordings)
    assert came[0].labels()[0] == "Seen (all 13)"
    await press(house, house.robin, "Seen (all 13)", on=came[0].message_id)
    assert len(told(house, house.mum, "Robin has read your words")) == 1
    after = len(house.heard(house.robin))
    await house.rehearsal.jump(house.clock.now() + timedelta(days=2))
    assert not [each for each in house.heard(house.robin)[after:] if "not breathing" in each.text]


async def test_a_concern_that_came_after_an_alert_is_not_seen_with_it(house: House) -> None:
    await say(house, house.mum, BLUE)
    await say(house, house.mum, "she is floppy and will not wake up")
    first, second = told(house, house.robin, BLUE)
    assert second.labels()[0] == "Seen (all 2)"
    await press(house, house.robin, "Seen", on=first.message_id)
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=11))

    last = house.last(house.robin)
    assert "will not wake up" in last.text and BLUE not in last.text


async def test_what_nobody_reads_reaches_the_clinic_and_the_carer_hears_the_truth_once(house: House) -> None:
    await say(house, house.mum, BLUE)
    start = house.clock.now()
    await house.rehearsal.jump(start + timedelta(minutes=29))
    assert not told(house, alex(house), BLUE) and not told(house, house.mum, "No therapist has read")
    await house.rehearsal.jump(start + timedelta(minutes=31))

    assert len(told(house, alex(house), BLUE)) == 1
    truth = told(house, house.mum, "No therapist has read your words yet")
    assert len(truth) == 1 and "555 0100" in truth[0].text
    await house.rehearsal.jump(start + timedelta(days=4))
    assert len(told(house, house.mum, "No therapist has read your words yet")) == 1
    assert len(told(house, alex(house), BLUE)) == len(told(house, house.robin, BLUE)) - 2 == 8
    await press(house, alex(house), "Seen")
    assert told(house, house.mum, "Alex has read")


async def test_seen_is_told_to_the_carer_once_and_shown_under_the_alert(house: House) -> None:
    await say(house, house.mum, BLUE)
    alert = house.last(house.robin)
    before = len(house.heard(house.mum))
    await press(house, house.robin, "Seen", on=alert.message_id)
    await press(house, house.robin, "I have called", on=alert.message_id)

    assert len(house.heard(house.mum)) == before + 1
    assert "Robin" in house.last(house.mum).text
    now = house.robin.message(alert.message_id)
    assert BLUE in now.text
    assert "Robin has called" in now.text
    assert now.labels() == ["Answer", "Short answers", "Advice that was sent"]
    found = await row(house, concerns)
    assert (found.state, found.answered_at is not None) == ("answered", True)


async def test_a_wrong_alarm_is_kept_as_one_and_told_no_more(house: House) -> None:
    await say(house, house.mum, BLUE)
    await press(house, house.robin, "Not a concern")

    found = await row(house, concerns)
    assert found.state == "wrong"
    await house.rehearsal.jump(house.clock.now() + timedelta(hours=6))
    assert len(told(house, house.robin, BLUE)) == 1


async def test_an_answer_goes_to_the_carer_under_their_own_words_with_the_therapists_name(
    house: House,
) -> None:
    concern = await say(house, house.mum, BLUE)
    alert = house.last(house.robin)
    await say(house, house.robin, "I am on the phone <now> & call you", reply_to=alert.message_id)

    answer = house.last(house.mum)
    assert answer.text == "Robin: I am on the phone <now> & call you"
    assert answer.reply_to == concern
    assert answer.labels() == ["Write back"]


async def test_a_reply_to_an_answer_reaches_the_therapist_with_the_threads_beginning(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    asked = house.last(house.robin)
    await say(house, house.robin, "Yes, at night too.", reply_to=asked.message_id)
    await say(house, house.mum, "Even when it is hot?", reply_to=house.last(house.mum).message_id)

    again = house.last(house.robin)
    assert "Even when it is hot?" in again.text
    assert "should the splint stay on at night?" in again.text
    assert again.reply_to == asked.message_id


async def test_write_back_carries_the_next_message_in_the_same_thread(house: House) -> None:
    await say(house, house.mum, BLUE)
    await say(house, house.robin, "Are they with you?", reply_to=house.last(house.robin).message_id)
    await press(house, house.mum, "Write back")
    await say(house, house.mum, "Yes the ambulance came")

    last = house.last(house.robin)
    assert "Yes the ambulance came" in last.text
    assert BLUE in last.text
    assert (await row(house, questions)).thread == "concern:1"


async def test_a_worry_inside_a_reply_to_an_answer_is_raised_too(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    await say(house, house.robin, "Yes.", reply_to=house.last(house.robin).message_id)
    await say(house, house.mum, BLUE, reply_to=house.last(house.mum).message_id)

    assert any("Urgent" in message.text and BLUE in message.text for message in house.heard(house.robin))


async def test_a_photo_a_voice_note_and_a_clip_travel_as_answers(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    asked = house.last(house.robin)
    house.robin.photo(caption="Like this", reply_to=asked.message_id)
    await house.settle()
    photo = house.last(house.mum)
    await press(house, house.robin, "Answer", on=asked.message_id)
    house.robin.voice(b"spoken")
    await house.settle()

    assert (photo.kind, photo.text) == ("photo", "Robin: Like this")
    voice = house.last(house.mum)
    house.robin.say("/cancel")
    await press(house, house.robin, "Answer", on=asked.message_id)
    house.robin.video(b"a clip", "And so")
    await house.settle()
    clip = house.last(house.mum)

    assert (voice.kind, "Robin" in voice.text) == ("voice", True)
    assert (clip.kind, clip.text) == ("video", "Robin: And so")


async def test_an_edited_answer_changes_in_place_at_the_carers(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    answer = await say(house, house.robin, "20 minutes", reply_to=house.last(house.robin).message_id)
    copy = house.last(house.mum)
    count = len(house.heard(house.mum))
    house.robin.edit(answer, "10 minutes")
    await house.settle()

    assert house.mum.message(copy.message_id).text == "Robin: 10 minutes\n(changed)"
    assert len(house.heard(house.mum)) == count
    assert "change" in house.last(house.robin).text


async def test_the_changed_words_of_a_photo_are_sent_once_more(house: House) -> None:
    await say(house, house.mum, "should the splint stay on at night?")
    photo = house.robin.photo(caption="20 minutes", reply_to=house.last(house.robin).message_id)
    await house.settle()
    house.robin.edit(photo, "10 minutes")
    await house.settle()

    assert house.last(house.mum).text == "Robin: 10 minutes\n(changed)"


async def test_quiet_time_holds_back_everything_but_worries_and_brings_it_in_one_go(house: House) -> None:
    await say(house, house.robin, "/quiet 21:00-07:00")
    await house.at(22)
    before = len(house.heard(house.robin))
    await say(house, house.mum, "should the splint stay on at night?")
    await say(house, house.grandpa, "¿la férula se queda puesta?")
    assert len(house.heard(house.robin)) == before
    await say(house, house.mum, BLUE)
    assert BLUE in house.last(house.robin).text
    await press(house, house.robin, "Seen")

    await house.at(6, 59, day=1)
    quiet = len(house.heard(house.robin))
    await house.at(7, 1, day=1)

    came = house.heard(house.robin)[quiet:]
    assert came[0].text == "2 messages came in your quiet time:"
    assert "splint" in came[1].text and "férula" in came[2].text
    assert came[1].labels() == ["Answer", "Short answers"]


async def test_quiet_time_turned_off_brings_at_once_what_it_held_back(house: House) -> None:
    await say(house, house.robin, "/quiet 08:00-20:00")
    await say(house, house.mum, "should the splint stay on at night?")
    assert not told(house, house.robin, "splint")
    await say(house, house.robin, "/quiet")
    await press(house, house.robin, "Turn it off")

    assert told(house, house.robin, "splint")


async def test_what_a_therapist_asks_for_comes_in_their_quiet_time_too(house: House) -> None:
    await say(house, house.robin, "/quiet 21:00-07:00")
    await house.at(23)
    await say(house, house.robin, "/digest")

    assert house.last(house.robin).kind == "photo"


async def test_a_therapist_who_blocked_us_is_passed_by_and_the_carer_hears_who_knows(house: House) -> None:
    house.robin.block(told=False)
    await say(house, house.mum, BLUE)
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=1))

    assert BLUE in house.last(alex(house)).text
    assert "Alex" in house.last(house.mum).text
    with house.store.read() as uow:
        robin = uow.therapists.find(TherapistId("t1"))
    assert robin is not None and robin.unreachable

    await press(house, alex(house), "Seen")
    assert "Alex" in house.last(house.mum).text
    house.robin.unblock()
    await say(house, house.robin, "/audit pip")
    assert "passed a concern to others" in house.last(house.robin).text


async def test_a_therapist_who_comes_back_gets_what_they_missed(house: House) -> None:
    house.robin.block()
    await house.settle()
    await say(house, house.mum, "should the splint stay on at night?")
    assert "cannot reach Robin" in house.last(house.mum).text
    house.robin.unblock()
    await say(house, house.robin, "/help")

    assert told(house, house.robin, "splint")


async def test_where_no_therapist_can_be_reached_the_carer_is_told_not_to_wait(house: House) -> None:
    with house.store.write() as uow:
        uow.conn.execute(therapists.update().values(chat_id=None))
    await say(house, house.mum, BLUE)
    assert "do not wait for an answer here" in house.last(house.mum).text
    with house.store.write() as uow:
        uow.therapists.seat(TherapistId("t2"), ChatId(9002), house.clock.now())
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=6))

    assert BLUE in house.last(alex(house)).text


async def test_a_letter_does_not_go_to_who_left_or_blocked_us(house: House) -> None:
    await say(house, house.mum, "/leave")
    await press(house, house.mum, "Leave this chat")
    house.grandpa.block()
    await house.settle()
    before = len(house.heard(house.mum))
    await say(house, house.robin, "/write pip")

    assert "cannot be reached here" in house.last(house.robin).text
    await say(house, house.robin, "Hello")
    assert len(house.heard(house.mum)) == before


async def test_a_worry_of_a_carer_who_left_still_reaches_and_can_be_marked(house: House) -> None:
    await say(house, house.mum, BLUE)
    await say(house, house.mum, "/leave")
    await press(house, house.mum, "Leave this chat")
    before = len(house.heard(house.mum))
    await house.rehearsal.jump(house.clock.now() + timedelta(minutes=11))
    alert = told(house, house.robin, BLUE)[-1]
    await press(house, house.robin, "Seen", on=alert.message_id)
    await say(house, house.robin, "How are you?", reply_to=alert.message_id)

    assert "cannot be reached here" in house.last(house.robin).text
    assert len(house.heard(house.mum)) == before


async def test_a_letter_goes_to_every_active_carer_and_answers_come_back(house: House) -> None:
    await say(house, house.robin, "/write pip")
    letter = await say(house, house.robin, "Can we meet on Tuesday?")

    assert house.last(house.mum).text == "Robin: Can we meet on Tuesday?"
    assert house.last(house.grandpa).text == "Robin: Can we meet on Tuesday?"
    assert "Grandpa" in house.last(house.robin).text
    assert house.heard(nursery(house)) == []
    await say(house, house.mum, "Tuesday is fine", reply_to=house.last(house.mum).message_id)
    came = house.last(house.robin)
    await say(house, house.robin, "At ten then", reply_to=letter)
    assert house.last(house.grandpa).text == "Robin: At ten then"
    assert "Tuesday is fine" in came.text and "Can we meet on Tuesday?" in came.text


async def test_a_letter_written_at_night_waits_for_the_morning_and_may_be_changed_till_then(
    house: House,
) -> None:
    await house.at(22)
    before = len(house.heard(house.mum))
    await say(house, house.robin, "/write pip")
    letter = await say(house, house.robin, "Twenty minutes a day")
    assert "Tue 3 Mar, 7:00 AM" in house.last(house.robin).text
    house.robin.edit(letter, "Ten minutes a day")
    await house.settle()
    assert len(house.heard(house.mum)) == before
    await house.at(7, 1, day=1)

    came = [message.text for message in house.heard(house.mum)[before:]]
    assert came == ["Robin: Ten minutes a day\n(changed)"]


async def test_an_answer_given_by_a_cover_shows_on_the_question_that_was_held_for_the_other(
    house: House,
) -> None:
    await say(house, house.robin, "/quiet 21:00-07:00")
    await say(house, house.robin, "/cover")
    await press(house, house.robin, "Alex")
    await press(house, house.robin, "7 days")
    await house.at(22)
    await say(house, house.mum, "should the splint stay on at night?")
    await say(house, alex(house), "Yes", reply_to=told(house, alex(house), "splint")[0].message_id)
    assert house.last(house.mum).text == "Alex: Yes"
    await house.at(7, 1, day=1)

    assert "Alex has answered" in told(house, house.robin, "splint")[0].text
    assert told(house, house.robin, "splint")[0].labels() == []


async def test_words_that_could_not_be_handled_reach_the_therapist(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr("bot.features.routing.carer_message.read_message", broken)
    monkeypatch.setattr("bot.messenger.handler.FIRST_RETRY", 0.0)
    monkeypatch.setattr("bot.messenger.handler.FIRST_RETRY_URGENT", 0.0)
    await say(house, house.mum, "her arm <looks> odd today")

    assert "her arm <looks> odd today" in house.last(house.robin).text
    assert "Robin" in house.last(house.mum).text and "555 0199" in house.last(house.mum).text
    assert (await row(house, messages)).unread == "her arm <looks> odd today"


async def test_a_therapists_words_that_could_not_be_handled_are_not_taken_for_sent(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    await say(house, house.mum, "should the splint stay on at night?")
    monkeypatch.setattr("bot.features.threads.answers.answer", broken)
    monkeypatch.setattr("bot.messenger.handler.FIRST_RETRY", 0.0)
    await say(house, house.robin, "Yes, at night", reply_to=house.last(house.robin).message_id)

    assert "did not go out: “Yes, at night”" in house.last(house.robin).text


FORGED = (
    "seen:1", "called:1", "wrong:1", "answer:1", "advice:1", "reply:1", "fam:f1", "open:f1", "write:f1", "audit:f1",
    "planshow:f1", "page:1772400000:1773000000:f1", "invite:f1", "inviterole:f1:mother", "inviteagain:c1",
    "handover:f1", "ho:t2", "hoyes:1", "dis:f1", "dissure:f1", "disnow:f1", "disback:f1", "coverdigest:t1", "coverpdf:t1",
)  # fmt: skip
NOTHING: tuple[list[str], list[str], list[str]] = (
    [],
    ["There is nothing here for you to see."],
    ["That button is no longer in use."],
)


async def test_a_button_with_anothers_ids_shows_and_does_nothing(house: House) -> None:
    await say(house, house.mum, BLUE)
    await say(house, house.mum, "should the splint stay on at night?")
    await say(house, alex(house), "/families")
    before = await row(house, concerns), await row(house, families), await row(house, handovers)
    shown = {}
    for data in FORGED:
        count = len(house.heard(alex(house)))
        # A press as somebody could forge it: a button of their own chat with other data in it.
        message = house.last(alex(house))
        alex(house)._chat.messages[message.message_id]["reply_markup"] = {
            "inline_keyboard": [[{"text": "x", "callback_data": data}]]
        }
        await press(house, alex(house), "x")
        shown[data] = [each.text for each in house.heard(alex(house))[count:]]

    assert {data: said for data, said in shown.items() if said not in NOTHING} == {}
    assert (await row(house, concerns), await row(house, families), await row(house, handovers)) == before


async def test_a_therapist_finds_no_family_of_a_colleague_by_name(house: House) -> None:
    for command in ("/families pip", "/write pip", "/audit pip", "/plans f1", "/invite pip", "/handover pip"):
        await say(house, alex(house), command)
        assert "no family by the name" in house.last(alex(house)).text
    await say(house, alex(house), "/families")
    assert "Pip" not in house.last(alex(house)).text
    assert dad(house) is not None
