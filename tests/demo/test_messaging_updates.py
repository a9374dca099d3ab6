"""How updates wait, are handed over, confirmed, and grow too old."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta

import pytest
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, Conflict
from telegram.warnings import PTBUserWarning

from demo.messaging import Fault, MessagingServer, Person

YES = InlineKeyboardMarkup([[InlineKeyboardButton("Yes", callback_data="y")]])


async def texts(bot: Bot, offset: int | None = None, limit: int | None = None) -> list[str | None]:
    updates = await bot.get_updates(offset, limit)
    return [update.message.text for update in updates if update.message]


async def test_updates_are_handed_over_again_until_a_higher_offset_confirms_them(
    bot: Bot, sam: Person
) -> None:
    sam.say("one")
    sam.say("two")
    first = await bot.get_updates()
    again = await bot.get_updates()
    rest = await texts(bot, offset=first[0].update_id + 1)

    assert [update.update_id for update in again] == [update.update_id for update in first]
    assert rest == ["two"]
    assert await texts(bot, offset=first[1].update_id + 1) == []


async def test_a_batch_holds_no_more_than_its_limit(bot: Bot, sam: Person) -> None:
    for number in range(120):
        sam.say(str(number))

    assert await texts(bot, limit=3) == ["0", "1", "2"]
    assert len(await texts(bot)) == 100


async def test_a_negative_offset_keeps_the_last_ones_alone(bot: Bot, sam: Person) -> None:
    for word in ("a", "b", "c"):
        sam.say(word)

    assert await texts(bot, offset=-2) == ["b", "c"]
    assert await texts(bot) == ["b", "c"]


async def test_a_long_poll_ends_with_the_first_update(bot: Bot, server: MessagingServer, sam: Person) -> None:
    waiting = asyncio.create_task(bot.get_updates(timeout=20))
    await server.updates.polled()
    sam.say("now")
    updates = await waiting

    assert len(updates) == 1


async def test_a_second_poller_puts_out_the_first(server: MessagingServer, bot: Bot) -> None:
    first = asyncio.create_task(bot.get_updates(timeout=20))
    await server.updates.polled()
    async with Bot(server.token, base_url=server.base_url) as other:
        await other.get_updates()

        with pytest.raises(Conflict, match="terminated by other getUpdates request"):
            await first


async def test_a_poller_that_hung_up_takes_nothing(bot: Bot, server: MessagingServer, sam: Person) -> None:
    _, writer = await asyncio.open_connection(server.host, server.port)
    writer.write(f"GET /bot{server.token}/getUpdates?timeout=20 HTTP/1.1\r\nHost: x\r\n\r\n".encode())
    await server.updates.polled()
    writer.close()
    await writer.wait_closed()
    await asyncio.sleep(0.05)
    number = sam.say("still here")
    handed = dict(server.record.handed)
    updates = await bot.get_updates()

    assert handed == {}
    assert [update.message.message_id for update in updates if update.message] == [number]


async def test_only_the_kinds_asked_for_are_queued_and_the_wish_is_kept(bot: Bot, sam: Person) -> None:
    await bot.get_updates(allowed_updates=["callback_query"])
    sam.say("unheard")
    await bot.send_message(sam.id, "Done?", reply_markup=YES)
    sam.press("Yes")
    updates = await bot.get_updates()

    assert [update.callback_query is not None for update in updates] == [True]


async def test_a_message_is_kept_for_a_day_and_a_press_for_150_seconds(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    await bot.send_message(sam.id, "Done?", reply_markup=YES)
    sam.say("typed")
    sam.press("Yes")
    server.clock.advance(timedelta(seconds=149))
    young = await bot.get_updates()
    server.clock.advance(timedelta(seconds=1))
    older = await bot.get_updates()
    server.clock.advance(timedelta(hours=24))
    oldest = await bot.get_updates()

    assert [len(batch) for batch in (young, older, oldest)] == [2, 1, 0]
    assert len(server.record.expired) == 2


async def test_a_press_answered_after_150_seconds_is_refused(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    await bot.send_message(sam.id, "Done?", reply_markup=YES)
    query_id = sam.press("Yes")
    await bot.get_updates()
    server.clock.advance(timedelta(seconds=151))
    with pytest.raises(
        BadRequest, match=r"(?i)query is too old and response timeout expired or query ID is invalid"
    ):
        await bot.answer_callback_query(query_id)


async def test_a_press_can_reach_the_bot_too_late_to_be_answered(bot: Bot, sam: Person) -> None:
    await bot.send_message(sam.id, "Done?", reply_markup=YES)
    sam.press("Yes", too_old=True)
    query = (await bot.get_updates())[0].callback_query
    assert query is not None
    with pytest.raises(BadRequest, match=r"(?i)query is too old"):
        await query.answer()


async def test_an_update_can_be_handed_over_twice(bot: Bot, server: MessagingServer, sam: Person) -> None:
    server.faults.add(Fault("handed_twice", chat_id=sam.id))
    sam.say("one")
    sam.say("two")
    first = await bot.get_updates()
    confirmed = await bot.get_updates(offset=first[-1].update_id + 1)
    after = await bot.get_updates(offset=first[-1].update_id + 1)

    assert [update.update_id for update in confirmed] == [first[0].update_id]
    assert after == ()
    assert server.record.handed[first[0].update_id] == 2


async def test_an_injected_update_comes_as_it_is(bot: Bot, server: MessagingServer) -> None:
    server.updates.inject({"weather_report": {"sky": "grey"}})
    server.updates.inject({"update_id": 900_000_000, "message": {"broken": True}})
    with pytest.warns(PTBUserWarning, match="use 'Bot.getUpdates'"):
        raw = await bot.do_api_request("getUpdates")

    assert raw[0]["weather_report"] == {"sky": "grey"}
    assert raw[1] == {"update_id": 900_000_000, "message": {"broken": True}}


async def test_an_edited_message_is_told_with_its_new_words(bot: Bot, sam: Person) -> None:
    number = sam.say("20")
    sam.edit(number, "12")
    edited = (await bot.get_updates())[1].edited_message

    assert edited is not None
    assert (edited.message_id, edited.text) == (number, "12")
    assert edited.edit_date is not None


async def test_messages_bear_the_time_of_the_servers_clock(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    server.clock.set(datetime(2026, 3, 4, 10, 20, tzinfo=UTC))
    sam.say("x")
    message = (await bot.get_updates())[0].message

    assert message is not None
    assert message.date.replace(second=0) == datetime(2026, 3, 4, 10, 20, tzinfo=UTC)


async def test_setting_the_clock_back_makes_nothing_younger(
    bot: Bot, server: MessagingServer, sam: Person
) -> None:
    sam.say("x")
    server.clock.advance(timedelta(hours=23))
    server.clock.set(datetime(2020, 1, 1, tzinfo=UTC))
    server.clock.advance(timedelta(hours=1, seconds=1))

    assert await bot.get_updates() == ()
