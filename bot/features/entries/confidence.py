"""Ratings and teach-backs answered, by tap or in words: load, decide, apply."""

from __future__ import annotations

from bot.domain.confidence import Asked, AskedKind
from bot.domain.ids import MessageId, QuestionId
from bot.domain.messages import Message
from bot.domain.outgoing import Button, row
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.apply import apply
from bot.features.context import CarerContext
from bot.features.effects import Acknowledge, EditLine, Effects, EndDialog, Reply
from bot.features.entries.confidence_rules import (
    ANSWER_WITHIN,
    HIGHEST,
    NoNeedToTell,
    Rated,
    edited_rating,
    therapist_hears,
)
from bot.features.entries.contents import OldButton
from bot.features.state import load_state
from bot.features.threads import questions
from bot.parsing.answers import number_in
from bot.phrases import words_for
from bot.replies.reading import Reading
from bot.storage.repositories.outbox import Said


def pressed_sure(ctx: CarerContext, question_id: QuestionId, value: int) -> None:
    question = _own_question(ctx, question_id)
    if question is not None and value <= HIGHEST:
        line = load_state(ctx).pressed
        apply(ctx, (Acknowledge(), *_rate(ctx, question, value), EditLine(line, _rated(question, value))))


def _rated(question: Asked, value: int) -> Rated:
    return Rated(question.activity, value)


def pressed_not_tell(ctx: CarerContext, question_id: QuestionId) -> None:
    if _own_question(ctx, question_id) is not None:
        line = load_state(ctx).pressed
        apply(ctx, (EndDialog(), Acknowledge(), EditLine(line, NoNeedToTell())))


def _own_question(ctx: CarerContext, question_id: QuestionId) -> Asked | None:
    question = ctx.uow.confidence_ratings.find(question_id)
    if question is None or (question.family_id, question.carer_id) != (ctx.family.id, ctx.carer.id):
        apply(ctx, (Acknowledge(OldButton()),))
        return None
    return question


def answered_in_words(
    ctx: CarerContext, message_id: MessageId, quoted: Said | None, alone: Reading, *, says_more: bool
) -> AskedKind | None:
    """Take a typed number, or a teach-back, as the answer; return what it answered.

    alone: the message read as if no reminder were open. says_more: it logs something or asks for something, so that
    without a quote it is no teach-back.
    """
    question = _asked_question(ctx, quoted)
    if question is None:
        return None
    number = number_in(ctx.text, HIGHEST)
    if question.kind == "ruler":
        if number is None:
            return None
        lines = [out for out, chat_id in ctx.uow.outbox.said_about(question.about) if chat_id == ctx.chat_id]
        rated = _rate(ctx, question, number)
        shown = tuple(EditLine(line, None) for line in lines)
        apply(ctx, (*rated, *shown, Reply(content=_rated(question, number))))
        return "ruler"
    if number is not None or (says_more and quoted is None):
        return None
    ctx.end_dialog()
    ctx.uow.confidence_ratings.answer(question.id, None, ctx.now)
    questions.forward(ctx, message_id, "teachback", question.activity)
    return "teachback"


def answered_again(ctx: CarerContext, kept: Message) -> bool:
    """Take the edit of a typed number as the new answer to the ruler that it answered; return whether it was one."""
    asked = ctx.uow.confidence_ratings.asked_of(ctx.family.id, ctx.carer.id)
    edited = edited_rating(asked, kept.text, ctx.text, kept.at)
    if edited is not None:
        question, value = edited
        apply(ctx, (*_rate(ctx, question, value), Reply(content=_rated(question, value))))
    return edited is not None


def _asked_question(ctx: CarerContext, quoted: Said | None) -> Asked | None:
    """Return the question that a message may answer: the one it quotes, else the one asked last and not long ago."""
    if quoted is not None:
        about = quoted.about
        if about is None or about.kind != "confidence":
            return None
        question = ctx.uow.confidence_ratings.find(about.number)
        return question if question is not None and question.carer_id == ctx.carer.id else None
    dialog = ctx.dialog()
    asked_id = dialog.number("asked")
    if dialog.step != "confidence" or asked_id is None:
        return None
    question = ctx.uow.confidence_ratings.find(asked_id)
    if question is None or question.family_id != ctx.family.id:
        return None
    if ctx.now - question.asked_at > ANSWER_WITHIN:
        return None
    state = load_state(ctx)
    newest = state.last_sent()
    overtaken = state.reminded_since(question.asked_at) and newest is not None and newest.state == "sent"
    asked_since = state.waiting_entry(question.asked_at) is not None  # "zero" then means that
    return None if overtaken or asked_since else question


def _rate(ctx: CarerContext, question: Asked, value: int) -> Effects:
    """Keep a rating. The therapist sees every rating in the digest, a low one at once."""
    ctx.uow.confidence_ratings.answer(question.id, value, ctx.now)
    if therapist_hears(question, value):
        _notify_therapist(ctx, question, value)
    return (EndDialog(),) if ctx.dialog().step == "confidence" else ()


def _notify_therapist(ctx: CarerContext, question: Asked, value: int) -> None:
    """Bring a low rating to the therapist as a question that can be answered."""
    therapist = ctx.therapist()
    words = words_for(therapist.language)
    own = ctx.words.plain("confidence.in_words", activity=ctx.activity_name(question.activity), value=value)
    question_id = ctx.uow.questions.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=None,
        kind="question",
        activity=question.activity,
        text=own,
        at=ctx.now,
    )
    told = ctx.context.tell_therapist(
        therapist,
        words(
            "confidence.therapist_told",
            carer=ctx.carer.name,
            nickname=ctx.family.nickname,
            activity=ctx.context.library.in_sentence(question.activity, therapist.language),
            value=value,
        ),
        about=Subject.of("question", question_id),
        buttons=(row(Button(words.plain("therapist.answer_button"), verbs.REPLY.data(question_id))),),
    )
    if told is not None:
        ctx.uow.questions.note_notified(question_id, ctx.now)
