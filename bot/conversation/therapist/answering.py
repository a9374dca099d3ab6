"""Words of a therapist on their way to a family: answers, letters unasked, files, and edits of what was sent."""

from __future__ import annotations

import html
from dataclasses import dataclass

from bot.conversation.by_day import say_by_day, waits_until
from bot.conversation.carer import asking
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import covering, settling, therapist_words
from bot.conversation.therapist.therapist_talk import say
from bot.phrases import Verbatim, Words, words_for
from bot.records import audit, log, outbox, people, threads, worries
from bot.records.people import Carer, Family, Therapist
from bot.records.worries import ConcernRow, QuestionRow
from bot.say import Attachment, Button, Say, row

FILES = ("photo", "video", "voice", "document")
NOT_AT_HOME = ("day_care", "day care", "daycare", "group")  # roles that letters to a family do not go to


@dataclass(frozen=True, slots=True)
class Recipient:
    """Whom words of a therapist go to. carers: who can be written to. thread: None begins a new one."""

    family: Family
    carers: list[Carer]
    thread: str | None = None
    concern: ConcernRow | None = None
    question: QuestionRow | None = None


async def recipient(desk: Desk, therapist: Therapist, about: str) -> Recipient | None:
    """Return whom a reply about something goes to; None where it is none of theirs, or nothing to reply to."""
    what, _, argument = about.partition(":")
    if what == "concern":
        concern = await settling.own_concern(desk, therapist, argument)
        if concern is None:
            return None
        return await _to(desk, concern.family_id, concern.carer_id, about, concern=concern)
    if what == "question" and argument.isdigit():
        question = await worries.question(desk.conn, int(argument))
        if question is None or not await covering.may_see(desk, therapist, question.family_id):
            return None
        return await _to(desk, question.family_id, question.carer_id, about, question=question)
    if what == "family":
        family_id, _, carer_id = argument.partition("/")
        if not await covering.may_see(desk, therapist, family_id):
            return None
        return await _to(desk, family_id, carer_id or None, None)
    return None


async def _to(
    desk: Desk,
    family_id: str,
    carer_id: str | None,
    thread: str | None,
    *,
    concern: ConcernRow | None = None,
    question: QuestionRow | None = None,
) -> Recipient | None:
    family = await people.family(desk.conn, family_id)
    if family is None:
        return None
    carers = [
        carer
        for carer in await people.carers_of(desk.conn, family_id)
        if _is_meant(carer, carer_id)
        and carer.state == "active"
        and carer.chat_id is not None
        and not carer.blocked
    ]
    return Recipient(family, carers, thread, concern, question)


def _is_meant(carer: Carer, carer_id: str | None) -> bool:
    """Say whether words go to a carer: the one who is named, or with nobody named, everyone at home."""
    return carer.role not in NOT_AT_HOME if carer_id is None else carer.id == carer_id


async def answer(desk: Desk, incoming: Incoming, therapist: Therapist, about: str) -> bool:
    """Carry a therapist's message to whom it is for; return whether there was anybody it could be for."""
    found = await recipient(desk, therapist, about)
    if found is None:
        return False
    words = words_for(therapist.language)
    if not found.carers:
        await say(desk, incoming, words("therapist.carer_gone"))
        return True
    await _carry(desk, incoming, therapist, found)
    if found.concern is not None:
        await settling.settle(desk, found.concern, therapist, "answered")
    if found.question is not None:
        await _mark_answered(desk, incoming, therapist, found.question, words)
    names = ", ".join(carer.name for carer in found.carers)
    # A quote of this line writes to the same people once more.
    only = found.carers[0].id if len(found.carers) == 1 else ""
    again = f"family:{found.family.id}/{only}"
    until = None if found.thread else await waits_until(desk, found.family)
    text = words("therapist.answer_sent", carer=names)
    if until is not None:
        when = therapist_words.when_shown(until, found.family, words)
        text = words("thread.goes_out_at", carer=names, when=when)
    await say(desk, incoming, text, about=again)
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="answered" if found.thread else "wrote",
        now=desk.now,
        family_id=found.family.id,
        detail=found.thread,
    )
    return True


async def _mark_answered(
    desk: Desk, incoming: Incoming, therapist: Therapist, found: QuestionRow, words: Words
) -> None:
    await worries.change_question(
        desk.conn, found.id, answered_at=desk.now, answer=incoming.text, answered_by=therapist.id
    )
    family = await people.family(desk.conn, found.family_id)
    for reader in await people.all_therapists(desk.conn):
        if reader.chat_id is None or reader.id == therapist.id or family is None:
            continue
        theirs = words_for(reader.language)
        when = therapist_words.when_shown(desk.now, family, theirs)
        status = theirs("settle.answered", therapist=therapist.name, when=when)
        for each in await outbox.said_in(desk.conn, found.about, reader.chat_id):
            text = theirs("settle.with_status", text=Verbatim(each.text), status=Verbatim(status))
            await desk.say(Say(chat_id=reader.chat_id, text=text, edits=each.id))


async def _carry(desk: Desk, incoming: Incoming, therapist: Therapist, to: Recipient) -> None:
    thread = to.thread
    for carer in to.carers:
        answer_id = await threads.keep(
            desk.conn,
            family_id=to.family.id,
            carer_id=carer.id,
            therapist_id=therapist.id,
            thread=thread or "letter",
            chat_id=incoming.chat_id,
            message_id=incoming.message_id,
            kind=incoming.what,
            text=incoming.text,
            at=desk.now,
        )
        if thread is None:
            thread = f"letter:{answer_id}"
        copy = await _copy(desk, incoming, therapist, to, carer, thread, answer_id)
        # An answer is waited for; a letter is not, and does not wake anybody.
        outbox_id = await (say_by_day(desk, to.family, copy) if to.thread is None else desk.say(copy))
        await threads.change(desk.conn, answer_id, thread=thread, outbox_id=outbox_id)


async def _copy(
    desk: Desk,
    incoming: Incoming,
    therapist: Therapist,
    to: Recipient,
    carer: Carer,
    thread: str,
    answer_id: int,
) -> Say:
    assert carer.chat_id is not None
    words = words_for(carer.language)
    back = Button(words.plain("thread.back_button"), f"again:{answer_id}")
    return Say(
        chat_id=carer.chat_id,
        family=to.family.id,
        text=await _text(desk, words, therapist, to.family, carer, incoming.text),
        kind="concern" if to.concern is not None else "reply",
        buttons=(row(back),),
        about=f"answer:{thread}",
        reply_to=await _own_message(desk, to, carer),
        attachment=Attachment(
            asking.FILE_KINDS.get(incoming.what, "document"),
            incoming.file_name or incoming.what,
            file_id=incoming.file_id,
        )
        if incoming.what in FILES
        else None,
    )


async def _text(
    desk: Desk, words: Words, therapist: Therapist, family: Family, carer: Carer, text: str
) -> str:
    """Return the words as the carer reads them: who writes, and for which baby where the chat has several."""
    body = Verbatim(html.escape(text, quote=False))
    said = words("ask.answer", therapist=therapist.name, text=body)
    assert carer.chat_id is not None
    if len(await people.carers_in_chat(desk.conn, carer.chat_id)) > 1:
        return words("edge.for_baby", nickname=family.nickname, text=Verbatim(said))
    return said


async def _own_message(desk: Desk, to: Recipient, carer: Carer) -> int | None:
    """Return the carer's own message that is answered, so that both are shown together."""
    asked = to.concern or to.question
    if asked is None or asked.message_id is None:
        return None
    kept = await log.message(desk.conn, asked.message_id)
    return kept.message_id if kept is not None and kept.chat_id == carer.chat_id else None


async def about_quoted(desk: Desk, incoming: Incoming) -> str | None:
    """Return what a therapist's quote is about: one of our messages, or an earlier one of their own to a family."""
    if incoming.reply_to is None:
        return None
    said = await outbox.said_as(desk.conn, incoming.chat_id, incoming.reply_to)
    if said is not None:
        return said.about
    copies = await threads.of_message(desk.conn, incoming.chat_id, incoming.reply_to)
    if not copies:
        return None
    first = copies[0]
    if not first.thread.startswith("letter:"):
        return first.thread
    return f"family:{first.family_id}/{first.carer_id if len(copies) == 1 else ''}"


async def edited(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Carry an edit of what was sent: its copies change in place; the words with a file are sent once more."""
    if incoming.message_id is None:
        return
    copies = await threads.of_message(desk.conn, incoming.chat_id, incoming.message_id)
    names = []
    for copy in copies:
        carer = await people.carer(desk.conn, copy.family_id, copy.carer_id)
        family = await people.family(desk.conn, copy.family_id)
        reachable = carer is not None and carer.state == "active" and carer.chat_id is not None
        if carer is None or family is None or not reachable or copy.text == incoming.text:
            continue
        assert carer.chat_id is not None
        words = words_for(carer.language)
        text = await _text(desk, words, therapist, family, carer, incoming.text)
        text = words("thread.changed", text=Verbatim(text))
        in_place = copy.kind == "text"
        back = Button(words.plain("thread.back_button"), f"again:{copy.id}")
        await desk.say(
            Say(
                chat_id=carer.chat_id,
                family=family.id,
                text=text,
                about=f"answer:{copy.thread}",
                buttons=(row(back),),
                edits=copy.outbox_id if in_place else None,
            )
        )
        await threads.change(desk.conn, copy.id, text=incoming.text, edited_at=desk.now)
        names.append(carer.name)
    if names:
        words = words_for(therapist.language)
        await say(desk, incoming, words("thread.change_sent", carer=", ".join(names)))
