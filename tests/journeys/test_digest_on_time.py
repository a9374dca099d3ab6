"""The weekly digest: on time in the clinic's zone, once, and nothing falls between two."""

from __future__ import annotations

import copy
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from sqlalchemy import select, update
from telegram import Bot
from telegram.error import BadRequest

from bot.domain.ids import TherapistId
from bot.domain.people import Therapist
from bot.features.context import Context
from bot.features.digests import send
from bot.storage import import_caseload
from bot.storage.caseload_file import caseload_from
from bot.storage.store import Store
from bot.storage.tables import digests, families, messages, therapists
from demo.messaging import Limits, MessageView, MessagingServer
from demo.messaging.faults import Fault
from tests.journeys.conftest import CASELOAD, HALIFAX, MONDAY, House, make_house


@pytest.fixture
def caseload() -> dict[str, Any]:
    """The clinic with one reminder a day, so that weeks pass quickly."""
    caseload = copy.deepcopy(CASELOAD)
    plan = caseload["families"][0]["plan"]
    return caseload | {"families": [caseload["families"][0] | {"plan": plan | {"most_prompts": 1}}]}


async def covered(house: House) -> list[tuple[datetime, datetime]]:
    """Return what each digest covered, in the clinic's time."""
    with house.store.read() as uow:
        rows = uow.conn.execute(select(digests).order_by(digests.c.id))
        return [(row.from_at.astimezone(HALIFAX), row.to_at.astimezone(HALIFAX)) for row in rows]


async def down_until(house: House, local: datetime) -> None:
    """Let time pass while the bot is down."""
    house.clock.move_to(local)
    await house.settle()


async def tell(house: House, text: str) -> int:
    """Let Mum answer the last reminder by quoting it."""
    reminder = next(m for m in reversed(house.heard(house.mum)) if m.text.startswith("Pip:"))
    said = house.mum.say(text, reply_to=reminder.message_id)
    await house.settle()
    return said


async def change_digest_day(house: House, caseload: dict[str, Any], weekday: str, at: str = "18:00") -> None:
    caseload["clinic"]["digest"] = {"weekday": weekday, "at": at}
    checked = caseload_from(caseload, ["tummy_time", "football_hold"], where="test")
    with house.store.write() as uow:
        import_caseload.load(uow, checked, house.clock.now())
    await house.settle()


def weekly(house: House) -> list[MessageView]:
    """Return the digests that the therapist got, without what else is told of a silent family."""
    return [message for message in house.heard(house.robin) if "Week at a glance" in message.text]


def local(day: int, hour: int, minute: int = 0) -> datetime:
    """Return a wall-clock time in Halifax, `day` days after the first Monday."""
    return (MONDAY.replace(hour=0) + timedelta(days=day)).replace(hour=hour, minute=minute)


async def test_a_week_with_a_clock_change_is_one_week_of_the_clinics_calendar(house: House) -> None:
    # Clocks went forward on Sunday 8 March 2026, hours before the digest.
    await house.at(17, 59, day=6)
    assert weekly(house) == []
    await house.at(18, 1, day=6)
    await house.at(18, 1, day=13)

    assert await covered(house) == [(local(-1, 18), local(6, 18)), (local(6, 18), local(13, 18))]
    first, second = await covered(house)
    assert first[1].timestamp() - first[0].timestamp() == 167 * 3600
    assert second[1].timestamp() - second[0].timestamp() == 168 * 3600
    assert len(weekly(house)) == 2


async def test_after_three_weeks_of_outage_one_digest_covers_all_of_them(house: House) -> None:
    await house.at(18, 1, day=6)
    await tell(house, "10 min")
    await down_until(house, local(29, 9))

    assert await covered(house) == [(local(-1, 18), local(6, 18)), (local(6, 18), local(27, 18))]
    digest = weekly(house)[-1]
    assert "Sun 8 Mar" in digest.text and "Sun 29 Mar" in digest.text

    house.robin.press("Pip", message_id=digest.message_id)
    await house.settle()
    assert "Mum 10 min" in house.last(house.robin).text
    await house.at(18, 1, day=34)
    assert (await covered(house))[-1] == (local(27, 18), local(34, 18))


async def test_a_message_that_the_service_hands_over_late_is_told_in_the_next_digest(house: House) -> None:
    await house.at(18, 1, day=6)
    house.mum.say("mumble qqq vvv")
    await house.settle()
    with house.store.write() as uow:
        uow.conn.execute(update(messages).values(at=local(6, 17, 50)))
    await house.at(18, 1, day=13)
    digest = weekly(house)[-1]
    house.robin.press("Pip", message_id=digest.message_id)
    await house.settle()

    assert "qqq vvv" in "\n".join(house.texts(house.robin)[-3:])


@pytest.mark.parametrize("weekday", ["friday", "tuesday"])
async def test_a_digest_day_changed_midweek_leaves_no_gap_and_tells_nothing_twice(
    house: House, caseload: dict[str, Any], weekday: str
) -> None:
    await house.at(18, 1, day=6)
    await house.at(12, day=9)  # Wednesday
    await change_digest_day(house, caseload, weekday)
    await house.at(18, 1, day=20)

    told = await covered(house)
    assert all(before[1] == after[0] for before, after in pairwise(told))
    assert [end.strftime("%A").lower() for _, end in told[1:]] == [weekday] * (len(told) - 1)
    assert told[1][1] == local(11, 18) if weekday == "friday" else told[1][1] == local(8, 18)
    assert len(weekly(house)) == len(told)


async def test_a_digest_day_changed_before_the_first_digest_holds_at_once(
    house: House, caseload: dict[str, Any]
) -> None:
    await house.at(12, day=2)
    await change_digest_day(house, caseload, "friday")
    await house.at(18, 1, day=4)
    await house.at(18, 1, day=6)

    assert await covered(house) == [(local(-3, 18), local(4, 18))]


async def test_a_digest_that_came_due_while_the_bot_was_down_is_sent_when_it_is_back(house: House) -> None:
    await down_until(house, local(7, 9))

    assert await covered(house) == [(local(-1, 18), local(6, 18))]
    assert len(weekly(house)) == 1


async def test_what_was_logged_in_the_last_minute_is_told_once(house: House) -> None:
    await house.at(17, 59, day=6)
    await tell(house, "10 min")
    await house.at(18, 0, day=6)
    await tell(house, "tummy time 7 min")
    await house.at(18, 1, day=13)
    told = []
    for digest in weekly(house)[:2]:
        house.robin.press("Pip", message_id=digest.message_id)
        await house.settle()
        told.append(house.last(house.robin).text)

    assert "Mum 10 min" in told[0]
    assert "Mum 7 min" in told[1]


async def test_a_family_discharged_in_the_week_is_told_of_once_more(house: House) -> None:
    await house.at(12, day=2)
    await tell(house, "10 min")
    with house.store.write() as uow:
        uow.conn.execute(update(families).values(state="discharged", discharged_at=house.clock.now()))
    await house.at(18, 1, day=6)
    await house.at(18, 1, day=13)

    (first,) = weekly(house)
    assert "Pip" in first.text
    assert house.last(house.robin).message_id == first.message_id


async def test_a_digest_whose_picture_is_refused_still_comes_as_text(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def refused(*args: object, **fields: object) -> None:
        raise BadRequest("PHOTO_INVALID_DIMENSIONS")

    monkeypatch.setattr(Bot, "send_photo", refused)
    await house.at(18, 5, day=6)

    digest = weekly(house)[-1]
    assert digest.kind == "text"
    assert "Pip" in digest.text
    assert "Pip" in digest.labels()


async def test_a_digest_sent_again_after_a_lost_answer_says_that_it_is_a_repeat(
    house: House, server: MessagingServer
) -> None:
    server.faults.add(Fault("lost_after", method="sendPhoto"))
    await house.at(18, 5, day=6)
    digests_told = weekly(house)

    assert len(digests_told) == 2
    assert digests_told[0].text in digests_told[1].text
    assert digests_told[1].text != digests_told[0].text


async def test_a_correction_after_the_digest_is_a_note_and_its_minutes_are_not_told_again(
    house: House,
) -> None:
    await house.at(17, 59, day=6)
    said = await tell(house, "20 min, turned right")
    await house.at(18, 5, day=6)
    house.robin.press("Pip", message_id=weekly(house)[-1].message_id)
    await house.settle()
    assert "Mum 20 min" in house.last(house.robin).text
    house.mum.edit(said, "12 min, turned right")
    await house.settle()
    await house.at(18, 1, day=13)
    digest = weekly(house)[-1]
    house.robin.press("Pip", message_id=digest.message_id)
    await house.settle()

    page = "\n".join(house.texts(house.robin)[-2:])
    assert "Mum logged nothing" in page
    assert "It now says: “12 min, turned right”" in page
    assert "head turned" not in page


async def test_a_therapist_who_has_not_joined_gets_the_first_digest_after_joining(house: House) -> None:
    with house.store.write() as uow:
        uow.conn.execute(update(therapists).values(chat_id=None, next_digest_at=None))
    await house.at(18, 1, day=6)
    await house.at(12, day=8)
    assert await covered(house) == []

    with house.store.write() as uow:
        uow.conn.execute(update(therapists).values(chat_id=9001))
    await house.settle()
    await house.at(18, 1, day=13)
    assert await covered(house) == [(local(6, 18), local(13, 18))]


async def test_one_therapists_digest_that_fails_does_not_hold_back_the_next(
    store: Store, caseload: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    caseload["therapists"].append({"id": "t2", "chat_id": 9002, "name": "Sam"})
    [family] = caseload["families"]
    own = family | {"id": "f2", "therapist": "t2", "prompts_to": ["c9"]}
    carer = {"id": "c9", "chat_id": 5009, "name": "Dad", "consented": True}
    caseload["families"].append(own | {"carers": [carer]})
    ask_all = send.request

    def request(context: Context, therapist: Therapist, *rest: Any, **named: Any) -> None:
        if therapist.id == "t1":
            raise RuntimeError("no picture today")
        ask_all(context, therapist, *rest, **named)

    monkeypatch.setattr(send, "request", request)
    async with MessagingServer(limits=Limits.off()) as server:
        async for house in make_house(store, server, caseload, MONDAY):
            await house.at(18, 5, day=6)

            assert weekly(house) == []
            assert [m.kind for m in house.heard(house.person(9002))].count("photo") == 1

            monkeypatch.setattr(send, "request", ask_all)
            await house.at(18, 6, day=6)
            assert len(weekly(house)) == 1
            assert [m.kind for m in house.heard(house.person(9002))].count("photo") == 1


async def test_a_therapist_without_a_family_gets_no_digest_and_later_ones_stay_whole(
    store: Store, server: MessagingServer, caseload: dict[str, Any]
) -> None:
    empty = caseload | {"families": []}
    async for house in make_house(store, server, empty, MONDAY):
        await house.at(9, day=8)
        assert await covered(house) == []
        with house.store.read() as uow:
            assert uow.therapists.get(TherapistId("t1")).digest_until is not None
