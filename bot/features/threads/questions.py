"""Questions of a carer to the therapist, carried by the bot so that threads stay together."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from bot.domain.concerns import ConcernRow, QuestionKind, QuestionRow
from bot.domain.ids import AnswerId, ConcernId, MessageId, QuestionId, TherapistId
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.domain.threads import Answer
from bot.features import verbs
from bot.features.access import access
from bot.features.context import CarerContext, Context
from bot.features.threads import views
from bot.features.threads.rules import goes_on, passed_on_line
from bot.phrases import Words, words_for
from bot.replies.reading import Reading
from bot.storage.repositories.outbox import Said

FILE_KINDS: dict[str, Literal["picture", "video", "voice", "document"]] = {
    "photo": "picture",
    "video": "video",
    "voice": "voice",
}


def forward(
    ctx: CarerContext,
    message_id: MessageId | None,
    kind: QuestionKind,
    activity: str | None,
    *,
    thread: Subject | None = None,
    text: str | None = None,
    urgent: bool = False,
) -> None:
    """Carry a question to the therapist in the carer's own words, and say that it was.

    thread: what it goes on from (a concern, a question, a letter); the therapist sees how that began.
    text: the words, where they are not the message itself. urgent: it does not wait for the end of a quiet time.
    """
    question_id = ctx.uow.questions.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        kind=kind,
        activity=activity,
        thread=_root(ctx.context, thread),
        text=text or ctx.text,
        at=ctx.now,
    )
    told = tell(ctx.context, question_id, urgent=urgent)
    name = (ctx.therapist()).name
    reached = told is not None and told.reachable
    text = ctx.words(
        passed_on_line(kind, urgent=urgent, reached=reached),
        therapist=told.name if told is not None and reached else name,
        emergency_line=ctx.numbers.emergency_line,
    )
    ctx.answer(text, about=Subject.of("question", question_id))


def _root(context: Context, thread: Subject | None) -> Subject | None:
    """Return what a thread began with, where it is itself a message that goes on from something."""
    if thread is not None and thread.kind == "question":
        found = context.uow.questions.find(QuestionId(thread.number))
        return found.thread or thread if found else None
    return thread


def as_told(context: Context, found: QuestionRow) -> views.Told:
    """Load what the therapist reads beside a question: the carer's name, and how its thread began."""
    carer = context.uow.carers.find(found.family_id, found.carer_id)
    return views.Told(
        question=found,
        carer=carer.name if carer else found.carer_id,
        began=_beginning(context, found.thread),
        library=context.library,
    )


def _beginning(context: Context, thread: Subject | None) -> tuple[datetime, str] | None:
    if thread is None:
        return None
    started: ConcernRow | QuestionRow | Answer | None = None
    match thread.kind:
        case "concern":
            started = context.uow.concerns.find(ConcernId(thread.number))
        case "question":
            started = context.uow.questions.find(QuestionId(thread.number))
        case "letter":
            started = context.uow.answers.find(AnswerId(thread.number))
    return (started.at, started.text) if started else None


def tell(context: Context, question_id: QuestionId, *, urgent: bool = False) -> Therapist | None:
    """Tell a question to the therapist and who covers for them; return the first who was told.

    urgent: it does not wait for the end of a quiet time.
    """
    found = context.uow.questions.find(question_id)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        return None
    told, shown = None, as_told(context, found)
    for therapist in access.listeners(context, family.therapist_id):
        words = words_for(therapist.language)
        said = context.tell_therapist(
            therapist,
            views.question_text(shown, family, words, context.clinic.zone),
            kind="concern" if urgent else "reply",
            about=found.about,
            buttons=answer_buttons(found, words),
            reply_to=_told_before_as(context, found, therapist),
        )
        if said is not None and (told is None or not told.reachable):
            told = therapist
    if told is not None:
        context.uow.questions.note_notified(question_id, context.now)
    return told


def answer_buttons(found: QuestionRow, words: Words) -> Buttons:
    answer = Button(words.plain("therapist.answer_button"), verbs.REPLY.data(found.id))
    return (row(answer, Button(words.plain("short.button"), verbs.SHORT_QUESTION.data(found.id))),)


def _told_before_as(context: Context, found: QuestionRow, therapist: Therapist) -> int | None:
    """Return the message of this therapist's chat that began the thread, to be shown above."""
    if found.thread is None or therapist.chat_id is None:
        return None
    if found.thread.kind == "letter":
        letter = context.uow.answers.find(AnswerId(found.thread.number))
        return letter.message_id if letter and letter.therapist_id == therapist.id else None
    said = context.uow.outbox.said_in(found.thread, therapist.chat_id)
    return said[-1].message_id if said else None


def tell_waiting(context: Context) -> None:
    """Tell questions that came while their therapist had no chat yet."""
    for found in context.uow.questions.unnotified():
        tell(context, found.id)


def belongs_to_thread(ctx: CarerContext, message_id: MessageId, quoted: Said, reading: Reading) -> bool:
    """A reply to the therapist's answer, or to what we said of a concern or question, goes to the therapist."""
    found = goes_on(quoted.about, reading)
    if found is None:
        return False
    forward(ctx, message_id, "question", found.activity, thread=found.thread)
    return True


def pressed_ask(ctx: CarerContext, argument: str) -> None:
    """A follow-up question about a card: the next message goes to the therapist with the card named."""
    ctx.uow.chats.start_dialog(ctx.chat_id, "question", {"activity": argument})
    ctx.note()
    ctx.answer(
        ctx.words("ask.write_it", therapist=(ctx.therapist()).name, activity=ctx.activity_name(argument))
    )


def pressed_back(ctx: CarerContext, answer_id: AnswerId) -> None:
    """ "Write back" under a therapist's answer: the next message goes to the therapist, in the same thread."""
    found = ctx.uow.answers.find(answer_id)
    if found is None or found.family_id != ctx.family.id or found.carer_id != ctx.carer.id:
        ctx.note(ctx.words("edge.old_button"))
        return
    ctx.uow.chats.start_dialog(ctx.chat_id, "question", {"thread": found.thread.stored})
    ctx.note()
    ctx.answer(ctx.words("thread.write_back", therapist=_name_of(ctx, found.therapist_id)))


def _name_of(ctx: CarerContext, therapist_id: TherapistId) -> str:
    found = ctx.uow.therapists.find(therapist_id)
    return found.name if found else (ctx.therapist()).name
