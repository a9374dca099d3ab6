"""A therapist begins to write: by button, by command, or as the next message; answering.py carries the words."""

from __future__ import annotations

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import answering, settling
from bot.conversation.therapist.therapist_talk import chosen_family, say, seen_family
from bot.phrases import words_for
from bot.records import people
from bot.records.people import Therapist


async def pressed_answer(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """ "Answer" under a worry: it counts as seen, and the next message goes to the carer."""
    found = await settling.own_concern(desk, therapist, argument)
    if found is None:
        await say(desk, incoming, words_for(therapist.language)("therapist.not_yours"))
        return
    await settling.settle(desk, found, therapist, "seen")
    await _wait_for_words(desk, incoming, therapist, found.about)


async def pressed_reply(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await _wait_for_words(desk, incoming, therapist, f"question:{argument}")


async def _wait_for_words(desk: Desk, incoming: Incoming, therapist: Therapist, about: str) -> None:
    words = words_for(therapist.language)
    found = await answering.recipient(desk, therapist, about)
    if found is None:
        await say(desk, incoming, words("therapist.not_yours"))
    elif not found.carers:
        await say(desk, incoming, words("therapist.carer_gone"))
    else:
        await people.set_step(desk.conn, incoming.chat_id, "answer", about=about)
        names = ", ".join(carer.name for carer in found.carers)
        await say(desk, incoming, words("thread.write_to", carer=names, nickname=found.family.nickname))


async def write(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/write FAMILY: the next message goes to everyone at home who has joined; not to day care, nor a group."""
    family = await chosen_family(desk, incoming, therapist, wanted, "write")
    if family is not None:
        await _wait_for_words(desk, incoming, therapist, f"family:{family.id}/")


async def pressed_write(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await seen_family(desk, incoming, therapist, argument)
    if family is not None:
        await _wait_for_words(desk, incoming, therapist, f"family:{family.id}/")


async def words_written(desk: Desk, incoming: Incoming, therapist: Therapist, about: str) -> None:
    """The step "answer": this message is what was to be written."""
    await people.set_step(desk.conn, incoming.chat_id, None)
    if not await answering.answer(desk, incoming, therapist, about):
        await say(desk, incoming, words_for(therapist.language)("therapist.not_yours"))
