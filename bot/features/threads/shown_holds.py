"""A photo or video of a hold, sent to be looked at: it lands with the therapist tied to that hold, and what she answers
stands on that family's card from then on.

Nothing waits for the hold to be named: the file goes to the therapist at once, and the name follows.
"""

from __future__ import annotations

from datetime import timedelta

from bot.domain.concerns import QuestionRow
from bot.domain.ids import MessageId, QuestionId
from bot.domain.outgoing import Attachment, Button, Buttons, row
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import chat, verbs
from bot.features.access import access
from bot.features.context import CarerContext, Context
from bot.features.events import FileSent, TextWritten
from bot.features.state import load_state
from bot.features.threads import questions
from bot.phrases import words_for

LOOKED_AT = ("photo", "video")
SHOWN_WITHIN = timedelta(hours=2)  # a file after a card or a reminder is of that hold for this long


def received(ctx: CarerContext, event: FileSent, message_id: MessageId | None, named: str | None) -> None:
    """Pass a photo or video on as a question about a hold, and ask which where that is not plain. named: by its words."""
    activity = _meant(ctx, named)
    question_id = ctx.uow.questions.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        kind="check",
        activity=activity,
        text=event.text,
        at=ctx.now,
    )
    found = ctx.uow.questions.get(question_id)
    for therapist in access.listeners(ctx.context, ctx.family.therapist_id):
        _show(ctx, event, found, therapist)
    ctx.uow.questions.note_notified(question_id, ctx.now)
    line = {
        "therapist": ctx.therapist().name,
        "emergency_line": ctx.numbers.emergency_line,
    }
    about = Subject.of("question", question_id)
    if activity is not None:
        text = ctx.words("check.passed_on", activity=ctx.activity_name(activity), **line)
        ctx.answer(text, about=about)
    else:
        ctx.answer(ctx.words("check.which", **line), buttons=_holds(ctx, question_id), about=about)


def _meant(ctx: CarerContext, named: str | None) -> str | None:
    """Return the hold that a file shows: the one named, just asked about, of the open reminder, or of the card shown last."""
    dialog, state = ctx.dialog(), load_state(ctx)
    if named is not None and ctx.plan().plan.activity(named) is not None:
        return named
    if dialog.step == "question" and dialog.text("activity") is not None:
        ctx.end_dialog()
        return dialog.text("activity")
    reminder = state.open_reminder()
    if reminder is not None:
        return reminder.activity
    shown = [
        (at, each.activity)
        for each in state.plan.activities
        if (at := state.card_shown(each.activity)) is not None and ctx.now - at <= SHOWN_WITHIN
    ]
    return max(shown)[1] if shown else None


def _show(ctx: CarerContext, event: FileSent, found: QuestionRow, therapist: Therapist) -> None:
    words = words_for(therapist.language)
    who = {"carer": ctx.carer.name, "nickname": ctx.family.nickname}
    text = (
        words("check.asks_with_words", text=event.text, **who) if event.text else words("check.asks", **who)
    )
    if found.activity is not None:
        name = ctx.context.library.in_sentence(found.activity, therapist.language)
        text += "\n" + words("check.of_hold", activity=name)
    ctx.context.tell_therapist(
        therapist,
        text,
        attachment=Attachment(
            questions.FILE_KINDS.get(event.kind, "document"), event.kind, file_id=event.file_id
        ),
        buttons=questions.answer_buttons(found, words),
        about=found.about,
    )


def _holds(ctx: CarerContext, question_id: QuestionId) -> Buttons:
    library = ctx.context.library
    return tuple(
        row(
            Button(
                library.name(each.activity, ctx.carer.language), verbs.HOLD.data(question_id, each.activity)
            )
        )
        for each in ctx.plan().plan.activities
        if each.activity in library
    )


def pressed_hold(ctx: CarerContext, question_id: QuestionId, activity: str) -> None:
    """Which hold the file shows: kept, and told to the therapist in a line."""
    ctx.note()
    found = ctx.uow.questions.find(question_id)
    own = found is not None and (found.family_id, found.carer_id) == (ctx.family.id, ctx.carer.id)
    if found is None or not own or ctx.plan().plan.activity(activity) is None:
        return
    ctx.uow.questions.set_activity(question_id, activity)
    _keep_earlier_answer(ctx, found, activity)
    line = ctx.numbers.emergency_line
    therapist = ctx.therapist().name
    name = ctx.activity_name(activity)
    text = ctx.words("check.passed_on", activity=name, therapist=therapist, emergency_line=line)
    chat.edit_pressed(ctx, text)
    for each in access.listeners(ctx.context, ctx.family.therapist_id):
        words = words_for(each.language)
        hold = ctx.context.library.in_sentence(activity, each.language)
        ctx.context.tell_therapist(
            each,
            words("check.hold_named", carer=ctx.carer.name, nickname=ctx.family.nickname, activity=hold),
            about=found.about,
        )


def _keep_earlier_answer(ctx: CarerContext, found: QuestionRow, activity: str) -> None:
    """Put what was answered before the hold was named on its card."""
    answers = ctx.uow.answers.of_thread(found.about) if found.answered_at is not None else []
    for each in answers:
        ctx.uow.hold_notes.add(
            family_id=found.family_id,
            activity=activity,
            therapist_id=each.therapist_id,
            text=each.text,
            at=each.at,
        )


def file_of(context: Context, found: QuestionRow) -> Attachment | None:
    """Return the photo or video that a question came with, to be shown once more."""
    sent = context.uow.messages.file_of(found.message_id) if found.message_id is not None else None
    if sent is None:
        return None
    kind, file_id = sent
    return Attachment(questions.FILE_KINDS.get(kind, "document"), kind, file_id=file_id)


def keep_answer(
    context: Context, event: TextWritten | FileSent, therapist: Therapist, found: QuestionRow
) -> None:
    """Keep what a therapist answered to a file of a hold: words on its card, a photo, video or voice note beside it."""
    if found.kind != "check" or found.activity is None:
        return
    if isinstance(event, FileSent) and event.kind != "document":
        context.uow.media.add(
            family_id=found.family_id,
            activity=found.activity,
            kind=questions.FILE_KINDS[event.kind],
            file_id=event.file_id,
            caption=event.text or None,
            added_by=therapist.id,
            now=context.now,
        )
    context.uow.hold_notes.add(
        family_id=found.family_id,
        activity=found.activity,
        therapist_id=therapist.id,
        text=event.text if isinstance(event, TextWritten) else "",
        at=context.now,
    )
