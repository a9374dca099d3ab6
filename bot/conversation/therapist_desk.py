"""What a therapist does: see and answer concerns and questions, look at families, ask for a digest."""

from __future__ import annotations

import html
from collections.abc import Awaitable, Callable

from bot.conversation import clinic_desk, family_page, worrying
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.digest.spans import span_from
from bot.phrases import Verbatim, Words, words_for
from bot.records import audit, outbox, people, worries
from bot.records.people import Carer, Therapist
from bot.records.worries import ConcernRow
from bot.say import Button, Say, row

Pressed = Callable[[Desk, Incoming, Therapist, str], Awaitable[None]]


async def receive(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Act on one thing that a therapist did."""
    match incoming.what:
        case "press":
            await _pressed(desk, incoming, therapist)
        case "text" if incoming.text.startswith("/"):
            await _command(desk, incoming, therapist)
        case "text":
            await _wrote(desk, incoming, therapist)
        case _:
            await _say(desk, incoming, words_for(therapist.language)("therapist.help"))


async def _pressed(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    await _note(desk, incoming)
    verb, _, argument = incoming.data.partition(":")
    pressed = PRESSED.get(verb)
    if pressed is None:
        await _say(desk, incoming, words_for(therapist.language)("edge.old_button"))
    else:
        await pressed(desk, incoming, therapist, argument)


async def _command(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    words = words_for(therapist.language)
    command, _, rest = incoming.text.partition(" ")
    match command.lower().partition("@")[0]:
        case "/families":
            await _families(desk, incoming, therapist, words)
        case name if name in clinic_desk.COMMANDS:
            await clinic_desk.COMMANDS[name](desk, incoming, therapist, rest.strip())
        case _:
            await _say(desk, incoming, words("therapist.help"))


async def _families(desk: Desk, incoming: Incoming, therapist: Therapist, words: Words) -> None:
    families = await people.families_of(desk.conn, therapist.id)
    if not families:
        await _say(desk, incoming, words("therapist.no_families"))
        return
    span, _ = span_from("", now=desk.now, zone=desk.clinic.zone)
    buttons = tuple(
        row(Button(family.nickname[:24], family_page.data("page", span, family)))
        for family in families[:90]
        if family.state != "discharged"
    )
    await desk.say(Say(chat_id=incoming.chat_id, text=words("therapist.families"), buttons=buttons))


async def _wrote(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Words of a therapist: an answer, by quote or after "answer"; else help."""
    words = words_for(therapist.language)
    if incoming.reply_to is not None:
        quoted = await outbox.said_as(desk.conn, incoming.chat_id, incoming.reply_to)
        if (
            quoted is not None
            and quoted.about is not None
            and await _answer(desk, incoming, therapist, quoted.about)
        ):
            return
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.step == "answer":
        await people.set_step(desk.conn, incoming.chat_id, None)
        if await _answer(desk, incoming, therapist, str(chat.data["about"])):
            return
    if await clinic_desk.wrote(desk, incoming, therapist):
        return
    await _say(desk, incoming, words("therapist.help"))


async def _answer(desk: Desk, incoming: Incoming, therapist: Therapist, about: str) -> bool:
    """Carry an answer to the carer whom it is for; return whether there was one."""
    what, _, argument = about.partition(":")
    family_id = carer_id = None
    if what == "concern" and (concern := await worries.concern(desk.conn, int(argument))):
        family_id, carer_id = concern.family_id, concern.carer_id
        await _settle(desk, concern, therapist, "answered")
        await worries.change_concern(desk.conn, concern.id, answered_at=desk.now)
    elif what == "question" and (question := await worries.question(desk.conn, int(argument))):
        family_id, carer_id = question.family_id, question.carer_id
        await worries.change_question(
            desk.conn, question.id, answered_at=desk.now, answer=incoming.text, answered_by=therapist.id
        )
    elif what == "family":
        family_id, _, carer_id = argument.partition("/")
    if not family_id or not carer_id:
        return False
    carer = await people.carer(desk.conn, family_id, carer_id)
    words = words_for(therapist.language)
    if carer is None or carer.chat_id is None or carer.state != "active":
        await _say(desk, incoming, words("therapist.carer_gone"))
        return True
    await _carry(desk, carer, therapist, incoming.text, about)
    await _say(desk, incoming, words("therapist.answer_sent", carer=carer.name))
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="answered",
        now=desk.now,
        family_id=family_id,
        detail=about,
    )
    return True


async def _carry(desk: Desk, carer: Carer, therapist: Therapist, text: str, about: str) -> None:
    assert carer.chat_id is not None
    words = words_for(carer.language)
    body = Verbatim(html.escape(text, quote=False))
    await desk.say(
        Say(
            chat_id=carer.chat_id,
            text=words("ask.answer", therapist=therapist.name, text=body),
            kind="concern" if about.startswith("concern:") else "reply",
            about=f"answer:{about}"[:60],
        )
    )


async def _settle(desk: Desk, concern: ConcernRow, therapist: Therapist, state: str) -> None:
    """Mark a concern seen (or more): it is told no more, and the carer hears once that it was read."""
    first_time = concern.seen_at is None
    await worries.change_concern(
        desk.conn,
        concern.id,
        state=state,
        seen_at=concern.seen_at or desk.now,
        next_tell_at=None,
        handled_by=therapist.id,
    )
    if first_time:
        await worrying.tell_carer_it_was_read(desk, concern, therapist)
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what=f"concern {state}",
        now=desk.now,
        family_id=concern.family_id,
        detail=str(concern.id),
    )


def _concern_pressed(state: str, key: str) -> Pressed:
    async def pressed(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
        concern = await worries.concern(desk.conn, int(argument)) if argument.isdigit() else None
        if concern is None:
            return
        await _settle(desk, concern, therapist, state)
        await _say(desk, incoming, words_for(therapist.language)(key))

    return pressed


async def _answer_pressed(desk: Desk, incoming: Incoming, therapist: Therapist, about: str) -> None:
    await people.set_step(desk.conn, incoming.chat_id, "answer", about=about)
    await _say(desk, incoming, words_for(therapist.language)("therapist.write_answer"))


async def _answer_concern(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    concern = await worries.concern(desk.conn, int(argument)) if argument.isdigit() else None
    if concern is not None:
        await _settle(desk, concern, therapist, "seen")
        await _answer_pressed(desk, incoming, therapist, concern.about)


async def _answer_question(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await _answer_pressed(desk, incoming, therapist, f"question:{argument}")


PRESSED: dict[str, Pressed] = {
    "seen": _concern_pressed("seen", "therapist.noted_seen"),
    "called": _concern_pressed("answered", "therapist.noted_called"),
    "wrong": _concern_pressed("wrong", "therapist.noted_wrong"),
    "answer": _answer_concern,
    "reply": _answer_question,
    **clinic_desk.PRESSED,
}


async def _say(desk: Desk, incoming: Incoming, text: str) -> None:
    await desk.say(Say(chat_id=incoming.chat_id, text=text))


async def _note(desk: Desk, incoming: Incoming) -> None:
    if incoming.press is not None:
        await desk.say(Say(chat_id=incoming.chat_id, press=incoming.press, kind="press"))
