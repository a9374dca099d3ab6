"""Several babies in one chat, twins say: which one a message is about, asked where it could be either.

A button or a quote tells; so does a name, or an open reminder of only one of them. A worry never waits for that answer:
it is raised at once for each baby named, or for all.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

from bot.conversation import worrying
from bot.conversation.carer import replying, travel
from bot.conversation.carer.prompted import ANSWERS_WITHIN
from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.records import day, log, outbox, people, worries
from bot.records.people import Carer
from bot.replies.reading import Reading
from bot.say import Button, Say, row

NO_BABY_NEEDED = {"help", "stop"}
ALL = "*"  # in place of a family's id: every baby of the chat
STILL_SPOKEN_OF = timedelta(minutes=30)


async def talk(desk: Desk, incoming: Incoming, carers: list[Carer]) -> Talk:
    """Return the talk that a chat's act belongs to, about the baby that it is most likely about."""
    if len(carers) == 1:
        family = await people.family(desk.conn, carers[0].family_id)
        assert family is not None
        return Talk(desk, incoming, carers[0], family)
    family_id = await _family_meant(desk, incoming, carers)
    chosen = next((carer for carer in carers if carer.family_id == family_id), carers[0])
    await people.change_chat(desk.conn, incoming.chat_id, family_id=chosen.family_id)
    return await talk_about(desk, incoming, chosen)


async def talk_about(desk: Desk, incoming: Incoming, carer: Carer) -> Talk:
    family = await people.family(desk.conn, carer.family_id)
    assert family is not None
    return Talk(desk, incoming, carer, family, several=True)


async def _family_meant(desk: Desk, incoming: Incoming, carers: list[Carer]) -> str | None:
    """Return the family by the message that was pressed or quoted, by the words, else the last talked about."""
    shown = incoming.message_id if incoming.press is not None else incoming.reply_to
    if shown is not None:
        said = await outbox.said_as(desk.conn, incoming.chat_id, shown)
        if said is not None and said.family_id is not None:
            return said.family_id
    found = await meant([await talk_about(desk, incoming, carer) for carer in carers])
    if len(found) == 1:
        return found[0].family.id
    return (await people.chat(desk.conn, incoming.chat_id)).family_id


async def meant(talks: list[Talk]) -> list[Talk]:
    """Return the talks that a written message may be about.

    Those named in it; else the one just spoken of, where its question or its last line is being answered; else the one
    with an open reminder, if it is only one.
    """
    said = talks[0].incoming.text.casefold()
    named = [talk for talk in talks if _names(said, talk.family.nickname)]
    if named:
        return named
    spoken_of = await _spoken_of(talks)
    if spoken_of is not None:
        return [spoken_of]
    since = talks[0].now - ANSWERS_WITHIN
    prompted = [
        talk for talk in talks if await day.open_reminder(talk.conn, talk.family.id, since=since) is not None
    ]
    return prompted if len(prompted) == 1 else talks


async def _spoken_of(talks: list[Talk]) -> Talk | None:
    """Return the talk whose last word from us was a moment ago, where a question of it is open or a line is corrected."""
    first = talks[0]
    last = await outbox.last_said(first.conn, first.chat_id)
    if last is None or last.kind != "reply" or first.now - last.created_at > STILL_SPOKEN_OF:
        return None
    found = next((talk for talk in talks if talk.family.id == last.family_id), None)
    if found is None:
        return None
    chat = await people.chat(first.conn, first.chat_id)
    if chat.step is not None and chat.family_id == last.family_id:
        return found
    request = (await replying.reading_of(found)).request
    return found if request is not None and request.kind in ("undo", "correct") else None


def _names(said: str, nickname: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(nickname.casefold())}(?!\w)", said) is not None


async def ask_which(talks: list[Talk]) -> None:
    """Keep a message that could be about any of these babies, raise its worries for all of them, and ask."""
    first, incoming = talks[0], talks[0].incoming
    assert incoming.message_id is not None
    if await log.message_in_chat(first.conn, first.chat_id, incoming.message_id) is not None:
        return
    readings = [await replying.reading_of(talk) for talk in talks]
    if all(_needs_no_baby(reading) for reading in readings) or travel.tells_a_place(first):
        await replying.read_message(first)
        return
    kept = await log.keep_message(
        first.conn,
        chat_id=first.chat_id,
        message_id=incoming.message_id,
        kind="text",
        text=incoming.text,
        at=incoming.at,
    )
    if await _raise_worries(talks, readings, kept) and not any(_tells_more(reading) for reading in readings):
        await log.change_message(first.conn, kept, family_id=first.family.id, carer_id=first.carer.id)
        return
    buttons = [Button(talk.family.nickname[:24], f"baby:{kept}:{talk.family.id}") for talk in talks]
    both = first.words.plain("babies.both_button" if len(talks) == 2 else "babies.all_button")
    await first.desk.say(
        Say(
            chat_id=first.chat_id,
            text=first.words("babies.which"),
            buttons=(row(*buttons), row(Button(both, f"baby:{kept}:{ALL}"))),
        )
    )


def _needs_no_baby(reading: Reading) -> bool:
    return (
        reading.request is not None
        and reading.request.kind in NO_BABY_NEEDED
        and not (reading.entries or reading.observations or reading.skipped)
        and reading.concern is None
        and reading.unclear is None
    )


def _tells_more(reading: Reading) -> bool:
    """Say whether there is more in a worry's message that must be counted."""
    return bool(reading.entries or reading.observations or reading.skipped)


async def _raise_worries(talks: list[Talk], readings: list[Reading], kept: int) -> bool:
    """Raise a worry for every baby it may be about: the carer is advised once, the therapist told of each."""
    worried = [
        (talk, found)
        for talk, reading in zip(talks, readings, strict=True)
        if (found := reading.concern or reading.unclear) is not None
    ]
    if not worried:
        return False
    together = " / ".join(talk.family.nickname for talk, _ in worried)
    (first, found), *others = worried
    speaking = replace(first, names=together)
    unclear = all(reading.concern is None for reading in readings)
    if unclear:
        for talk, unsure in worried:
            await worrying.ask_about(talk, kept, unsure)
        return True
    await worrying.raise_concern(speaking, kept, found)
    advice = (await worries.concerns_of_message(first.conn, kept))[-1].advice
    for talk, also in others:
        concern_id = await worrying.keep(talk, kept, also)
        if also.urgency != "tell_therapist":
            await worries.change_concern(talk.conn, concern_id, advice=advice)
            await worrying.tell(talk.desk, concern_id)
    return True


async def pressed_baby(talk: Talk, argument: str) -> None:
    """ "Which baby?" answered: the kept message is read for that one, or for each."""
    await talk.note()
    kept_id, _, family_id = argument.partition(":")
    kept = await log.message(talk.conn, int(kept_id)) if kept_id.isdigit() else None
    carers = await people.carers_in_chat(talk.conn, talk.chat_id)
    chosen = [c for c in carers if c.state == "active" and family_id in (c.family_id, ALL)]
    if kept is None or not chosen or kept.chat_id != talk.chat_id or kept.family_id is not None:
        return
    talks = [await talk_about(talk.desk, talk.incoming, carer) for carer in chosen]
    await _settle_question(talk, " / ".join(each.family.nickname for each in talks))
    for number, each in enumerate(talks):
        await _read_for(each, kept, number)
    if len(talks) == 1:
        await people.change_chat(talk.conn, talk.chat_id, family_id=family_id)


async def _read_for(talk: Talk, kept: log.Message, number: int) -> None:
    """Read a kept message for one baby. number: 0 for the first, to which the message itself belongs."""
    if number == 0:
        await log.change_message(talk.conn, kept.id, family_id=talk.family.id, carer_id=talk.carer.id)
        row_id = kept.id
    else:
        row_id = await log.keep_message(
            talk.conn,
            chat_id=kept.chat_id,
            message_id=_copy_of(kept.message_id, number),
            kind=kept.kind,
            text=kept.text,
            at=kept.at,
            family_id=talk.family.id,
            carer_id=talk.carer.id,
        )
    own = await log.message(talk.conn, row_id)
    assert own is not None
    talk.incoming = replace(
        talk.incoming, what="text", text=own.text, message_id=own.message_id, data="", press=None
    )
    talk.worries_raised = True
    await replying.read_kept(talk, own)


def _copy_of(message_id: int, number: int) -> int:
    """Return the number under which a message about several babies is kept for the further ones; never the service's."""
    return -(message_id * 10 + number)


async def edits(desk: Desk, incoming: Incoming, carers: list[Carer]) -> list[Talk]:
    """Return a talk for each baby that an edited message was counted for."""
    assert incoming.message_id is not None
    ids = [incoming.message_id, *(_copy_of(incoming.message_id, n) for n in range(1, len(carers)))]
    found = []
    for message_id in ids:
        kept = await log.message_in_chat(desk.conn, incoming.chat_id, message_id)
        carer = next((c for c in carers if kept is not None and c.family_id == kept.family_id), None)
        if carer is not None:
            found.append(await talk_about(desk, replace(incoming, message_id=message_id), carer))
    return found


async def _settle_question(talk: Talk, nicknames: str) -> None:
    if talk.incoming.message_id is None:
        return
    asked = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id)
    if asked is not None:
        await talk.edit(asked.id, talk.words("babies.chosen", nickname=nicknames))
