"""A therapist begins to write: by button, by command, or as the next message; answering.py carries the words."""

from __future__ import annotations

from bot.domain.ids import ConcernId, QuestionId
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, say, seen_family
from bot.features.concerns import resolve
from bot.features.context import Context
from bot.features.events import Event, FileSent, TextWritten
from bot.features.threads import answers
from bot.phrases import words_for


def pressed_answer(context: Context, event: Event, therapist: Therapist, concern_id: ConcernId) -> None:
    """ "Answer" under a concern: it counts as seen, and the next message goes to the carer."""
    found = resolve.own_concern(context, therapist, concern_id)
    if found is None:
        say(context, event, words_for(therapist.language)("therapist.not_yours"))
        return
    resolve.settle(context, found, therapist, "seen")
    _wait_for_words(context, event, therapist, found.about)


def pressed_reply(context: Context, event: Event, therapist: Therapist, question_id: QuestionId) -> None:
    _wait_for_words(context, event, therapist, Subject.of("question", question_id))


def _wait_for_words(context: Context, event: Event, therapist: Therapist, about: Subject) -> None:
    words = words_for(therapist.language)
    found = answers.recipient(context, therapist, about)
    if found is None:
        say(context, event, words("therapist.not_yours"))
    elif not found.carers:
        say(context, event, words("therapist.carer_gone"))
    else:
        context.uow.chats.start_dialog(event.chat_id, "answer", {"about": about.stored})
        names = ", ".join(carer.name for carer in found.carers)
        say(context, event, words("thread.write_to", carer=names, nickname=found.family.nickname))


def write(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/write FAMILY: the next message goes to everyone at home who has joined; not to day care, nor a group."""
    family = chosen_family(context, event, therapist, wanted, lambda each: verbs.WRITE.data(each.id))
    if family is not None:
        _wait_for_words(context, event, therapist, Subject.family(family.id))


def pressed_write(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    family = seen_family(context, event, therapist, argument)
    if family is not None:
        _wait_for_words(context, event, therapist, Subject.family(family.id))


def words_written(
    context: Context, event: TextWritten | FileSent, therapist: Therapist, about: Subject | None
) -> None:
    """The step "answer": this message is what was to be written."""
    context.uow.chats.end_dialog(event.chat_id)
    if about is None or not answers.answer(context, event, therapist, about):
        say(context, event, words_for(therapist.language)("therapist.not_yours"))
