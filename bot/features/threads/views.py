"""What the therapist reads of a family between digests."""

from __future__ import annotations

from bot.domain.concerns import QuestionRow
from bot.domain.ids import AnswerId, ConcernId, QuestionId
from bot.domain.people import Family
from bot.domain.subject import Subject
from bot.features.context import Context
from bot.features.formats import quoted, shortened, when_shown
from bot.phrases import Words


def question_text(context: Context, found: QuestionRow, family: Family, words: Words) -> str:
    """Return a question as the therapist reads it: who, verbatim, about which card, and how its thread began."""
    carer = context.uow.carers.find(family.id, found.carer_id)
    key = {"contact": "therapist.wants_contact", "teachback": "therapist.teachback"}.get(
        found.kind, "therapist.question"
    )
    text = words(
        key,
        carer=carer.name if carer else found.carer_id,
        nickname=family.nickname,
        text=quoted(found.text),
    )
    if found.activity:
        text += "\n" + words(
            "therapist.about_card", activity=context.library.in_sentence(found.activity, words.language)
        )
    if found.thread:
        text += _beginning(context, found.thread, family, words)
    return text


def _beginning(context: Context, thread: Subject, family: Family, words: Words) -> str:
    """Return the line that says how a thread began."""
    started = None
    if thread.kind == "concern" and (concern := context.uow.concerns.find(ConcernId(thread.number))):
        started = (concern.at, concern.text)
    elif thread.kind == "question" and (question := context.uow.questions.find(QuestionId(thread.number))):
        started = (question.at, question.text)
    elif thread.kind == "letter" and (letter := context.uow.answers.find(AnswerId(thread.number))):
        started = (letter.at, letter.text)
    if started is None:
        return ""
    at, text = started
    return "\n" + words("thread.began", when=when_shown(at, family, words), text=shortened(text))
