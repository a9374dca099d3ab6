"""Words of a therapist on their way to a family: answers, letters unasked, files, and edits of what was sent."""

from __future__ import annotations

import html
from dataclasses import dataclass

from bot.domain.actor import Actor
from bot.domain.concerns import ConcernRow, QuestionRow
from bot.domain.ids import AnswerId, CarerId, ConcernId, FamilyId, QuestionId
from bot.domain.outgoing import Attachment, Button, MessageEdit, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.subject import Subject
from bot.features import formats, verbs
from bot.features.access import access
from bot.features.access.family_choice import say
from bot.features.concerns import resolve
from bot.features.context import Context
from bot.features.events import Edited, FileSent, TextWritten, kind_kept
from bot.features.quiet_delivery import say_by_day, waits_until
from bot.features.threads import questions, shown_holds
from bot.features.threads.rules import written_to
from bot.phrases import Verbatim, Words, words_for


@dataclass(frozen=True, slots=True)
class Recipient:
    """Whom words of a therapist go to. carers: who can be written to. thread: None begins a new one."""

    family: Family
    carers: list[Carer]
    thread: Subject | None = None
    concern: ConcernRow | None = None
    question: QuestionRow | None = None


def recipient(context: Context, therapist: Therapist, about: Subject) -> Recipient | None:
    """Return whom a reply about something goes to; None where it is none of theirs, or nothing to reply to."""
    if about.kind == "concern":
        concern = resolve.own_concern(context, therapist, ConcernId(about.number))
        if concern is None:
            return None
        return _to(context, concern.family_id, concern.carer_id, about, concern=concern)
    if about.kind == "question":
        question = context.uow.questions.find(QuestionId(about.number))
        if question is None or not access.may_see(context, therapist, question.family_id):
            return None
        return _to(context, question.family_id, question.carer_id, about, question=question)
    if about.kind == "family":
        if not access.may_see(context, therapist, about.family_id):
            return None
        return _to(context, about.family_id, about.carer_id, None)
    return None


def _to(
    context: Context,
    family_id: FamilyId,
    carer_id: CarerId | None,
    thread: Subject | None,
    *,
    concern: ConcernRow | None = None,
    question: QuestionRow | None = None,
) -> Recipient | None:
    family = context.uow.families.find(family_id)
    if family is None:
        return None
    carers = written_to(context.uow.carers.of_family(family_id), carer_id)
    return Recipient(family, carers, thread, concern, question)


def answer(context: Context, event: TextWritten | FileSent, therapist: Therapist, about: Subject) -> bool:
    """Carry a therapist's message to whom it is for; return whether there was anybody it could be for."""
    found = recipient(context, therapist, about)
    if found is None:
        return False
    words = words_for(therapist.language)
    if not found.carers:
        say(context, event, words("therapist.carer_gone"))
        return True
    deliver(context, event, therapist, found)
    if found.question is not None:
        shown_holds.keep_answer(context, event, therapist, found.question)
    names = ", ".join(carer.name for carer in found.carers)
    # A quote of this line writes to the same people once more.
    only = found.carers[0].id if len(found.carers) == 1 else None
    again = Subject.family(found.family.id, only)
    until = None if found.thread else waits_until(context, found.family)
    text = words("therapist.answer_sent", carer=names)
    if until is not None:
        when = formats.when_shown(until, found.family, words, context.clinic.zone)
        text = words("thread.goes_out_at", carer=names, when=when)
    say(context, event, text, about=again)
    return True


def deliver(context: Context, event: TextWritten | FileSent, therapist: Therapist, to: Recipient) -> None:
    """Send words or a file to everybody whom they are for, and mark what they answer as answered."""
    _carry(context, event, therapist, to)
    if to.concern is not None:
        resolve.settle(context, to.concern, therapist, "answered")
    if to.question is not None:
        _mark_answered(context, event, therapist, to.question)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="answered" if to.thread else "wrote",
        now=context.now,
        family_id=to.family.id,
        detail=to.thread.stored if to.thread else None,
    )


def _mark_answered(
    context: Context, event: TextWritten | FileSent, therapist: Therapist, found: QuestionRow
) -> None:
    context.uow.questions.answer(found.id, event.text, by=therapist.id, now=context.now)
    family = context.uow.families.find(found.family_id)
    for reader in context.uow.therapists.all():
        if reader.chat_id is None or reader.id == therapist.id or family is None:
            continue
        theirs = words_for(reader.language)
        when = formats.when_shown(context.now, family, theirs, context.clinic.zone)
        status = theirs("settle.answered", therapist=therapist.name, when=when)
        for each in context.uow.outbox.said_in(found.about, reader.chat_id):
            text = theirs("settle.with_status", text=Verbatim(each.text), status=Verbatim(status))
            context.say(MessageEdit(chat_id=reader.chat_id, text=text, edits=each.id))


def _carry(context: Context, event: TextWritten | FileSent, therapist: Therapist, to: Recipient) -> None:
    thread = to.thread
    for carer in to.carers:
        answer_id = context.uow.answers.keep(
            family_id=to.family.id,
            carer_id=carer.id,
            therapist_id=therapist.id,
            thread=thread,
            chat_id=event.chat_id,
            message_id=event.message_id,
            kind=kind_kept(event),
            text=event.text,
            at=context.now,
        )
        if thread is None:
            thread = Subject.of("letter", answer_id)
        copy = _copy(context, event, therapist, to, carer, thread, answer_id)
        # An answer is waited for; a letter is not, and does not wake anybody.
        outbox_id = say_by_day(context, to.family, copy) if to.thread is None else context.say(copy)
        context.uow.answers.note_sent(answer_id, thread=thread, outbox_id=outbox_id)


def _copy(
    context: Context,
    event: TextWritten | FileSent,
    therapist: Therapist,
    to: Recipient,
    carer: Carer,
    thread: Subject,
    answer_id: AnswerId,
) -> OutgoingMessage:
    words = words_for(carer.language)
    back = Button(words.plain("thread.back_button"), verbs.AGAIN.data(answer_id))
    return OutgoingMessage(
        chat_id=carer.address,
        family=to.family.id,
        text=_text(context, words, therapist, to.family, carer, event.text),
        kind="concern" if to.concern is not None else "reply",
        buttons=(row(back),),
        about=Subject.answer_in(thread),
        reply_to=_own_message(context, to, carer),
        attachment=Attachment(
            questions.FILE_KINDS.get(event.kind, "document"),
            event.file_name or event.kind,
            file_id=event.file_id,
        )
        if isinstance(event, FileSent)
        else None,
    )


def _text(
    context: Context, words: Words, therapist: Therapist, family: Family, carer: Carer, text: str
) -> str:
    """Return the words as the carer reads them: who writes, and for which baby where the chat has several."""
    body = Verbatim(html.escape(text, quote=False))
    said = words("ask.answer", therapist=therapist.name, text=body)
    if len(context.uow.carers.in_chat(carer.address)) > 1:
        return words("edge.for_baby", nickname=family.nickname, text=Verbatim(said))
    return said


def _own_message(context: Context, to: Recipient, carer: Carer) -> int | None:
    """Return the carer's own message that is answered, so that both are shown together."""
    asked = to.concern or to.question
    if asked is None or asked.message_id is None:
        return None
    kept = context.uow.messages.find(asked.message_id)
    return kept.message_id if kept is not None and kept.chat_id == carer.chat_id else None


def about_quoted(context: Context, event: TextWritten | FileSent) -> Subject | None:
    """Return what a therapist's quote is about: one of our messages, or an earlier one of their own to a family."""
    if event.reply_to is None:
        return None
    said = context.uow.outbox.said_as(event.chat_id, event.reply_to)
    if said is not None:
        return said.about
    copies = context.uow.answers.of_message(event.chat_id, event.reply_to)
    if not copies:
        return None
    first = copies[0]
    if first.thread.kind != "letter":
        return first.thread
    return Subject.family(first.family_id, first.carer_id if len(copies) == 1 else None)


def edited(context: Context, event: Edited, therapist: Therapist) -> None:
    """Carry an edit of what was sent: its copies change in place; the words with a file are sent once more."""
    copies = context.uow.answers.of_message(event.chat_id, event.message_id)
    names = []
    for copy in copies:
        carer = context.uow.carers.find(copy.family_id, copy.carer_id)
        family = context.uow.families.find(copy.family_id)
        reachable = carer is not None and carer.state == "active" and carer.chat_id is not None
        if carer is None or family is None or not reachable or copy.text == event.text:
            continue
        words = words_for(carer.language)
        text = _text(context, words, therapist, family, carer, event.text)
        text = words("thread.changed", text=Verbatim(text))
        back = Button(words.plain("thread.back_button"), verbs.AGAIN.data(copy.id))
        about, buttons = Subject.answer_in(copy.thread), (row(back),)
        if copy.kind == "text" and copy.outbox_id is not None:
            context.say(
                MessageEdit(
                    chat_id=carer.address,
                    family=family.id,
                    text=text,
                    about=about,
                    buttons=buttons,
                    edits=copy.outbox_id,
                )
            )
        else:
            context.say(
                OutgoingMessage(
                    chat_id=carer.address, family=family.id, text=text, about=about, buttons=buttons
                )
            )
        context.uow.answers.edit(copy.id, event.text, context.now)
        names.append(carer.name)
    if names:
        words = words_for(therapist.language)
        say(context, event, words("thread.change_sent", carer=", ".join(names)))
