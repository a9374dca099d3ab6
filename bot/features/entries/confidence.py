"""How sure a carer feels with a hold, and now and then how they do it, in their own words.

A ruler from 0 to 10, where under 7 is worth a talk: Brief Action Planning, JCOM 2014;21(1). "Tell me how you do it"
instead of "did you understand?": teach-back, AHRQ toolkit. The counts and waits below are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.domain.confidence import Asked, AskedKind
from bot.domain.entries import LogEntry
from bot.domain.messages import Message
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.subject import Subject
from bot.features import chat as features_chat
from bot.features.context import CarerContext
from bot.features.threads import questions
from bot.phrases import words_for
from bot.replies.reading import Reading
from bot.storage.repositories.outbox import Said

TRIES = 3  # counted sessions of an activity before the first question
SURE = 7  # under it: the refresher is offered, and the digest shows it
UNSURE = 4  # under it the therapist hears of it at once
ONE_IN = timedelta(days=7)  # at most one such question to a carer
AGAIN_AFTER = timedelta(days=28)
ANSWER_WITHIN = timedelta(hours=12)  # a typed number or a teach-back without a quote
EDITED_WITHIN = timedelta(minutes=5)  # between a message's own time and the answer that was read from it
NUMBER = re.compile(r"\s*(\d{1,2})\s*(?:/\s*10|of 10|out of 10|de 10)?\s*[.!]?\s*")


def next_question(
    asked: Sequence[Asked],
    activity: str,
    tries: Sequence[datetime],
    shown_at: datetime | None,
    now: datetime,
) -> AskedKind | None:
    """Return what to ask a carer after a counted session of `activity`, or None.

    asked: all such questions to this carer, the oldest first. tries: when each counted session of the activity was
    logged, this one included. shown_at: when the activity's card was last shown to them.

    At most one question a week. The ruler comes after three tries, after the first try since a refresher, and again
    after four weeks; who felt sure is asked once, later, to tell how they do it.
    """
    if asked and now - asked[-1].asked_at < ONE_IN:
        return None
    own = [each for each in asked if each.activity == activity]
    last = own[-1].asked_at if own else None
    since = sum(1 for at in tries if last is None or at > last)
    if shown_at is not None and (last is None or shown_at > last) and any(at > shown_at for at in tries):
        return "ruler"
    if since < TRIES:
        return None
    rulers = [each for each in own if each.kind == "ruler"]
    if not rulers or now - rulers[-1].asked_at >= AGAIN_AFTER:
        return "ruler"
    felt_sure = rulers[-1].value is not None and rulers[-1].value >= SURE
    return "teachback" if felt_sure and len(rulers) == len(own) else None


def ask_if_due(ctx: CarerContext, sessions: Sequence[LogEntry]) -> None:
    """Ask about the activity that was just counted, if it is time to."""
    plan = (ctx.plan()).plan
    asked = ctx.uow.confidence_ratings.asked_of(ctx.family.id, ctx.carer.id)
    for activity in dict.fromkeys(session.activity for session in sessions):
        if activity is None or plan.activity(activity) is None or activity not in ctx.context.library:
            continue
        tries = ctx.uow.entries.tries_of(ctx.family.id, ctx.carer.id, activity)
        shown_at = ctx.uow.outbox.last_about(ctx.chat_id, Subject.card(activity))
        kind = next_question(asked, activity, tries, shown_at, ctx.now)
        if kind is not None:
            _ask(ctx, activity, kind)
            return


def _ask(ctx: CarerContext, activity: str, kind: AskedKind) -> None:
    question = ctx.uow.confidence_ratings.ask(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        activity=activity,
        kind=kind,
        now=ctx.now,
    )
    ctx.uow.chats.start_dialog(ctx.chat_id, "confidence", {"asked": question.id})
    name = ctx.activity_name(activity)
    if kind == "ruler":
        ctx.answer(
            ctx.words("confidence.how_sure", activity=name),
            about=question.about,
            buttons=_ruler(question.id),
        )
        return
    therapist = ctx.therapist()
    ctx.answer(
        ctx.words("confidence.tell_how", activity=name, therapist=therapist.name),
        about=question.about,
        buttons=(row(Button(ctx.words.plain("confidence.not_now_button"), f"nottell:{question.id}")),),
    )


def _ruler(question_id: int) -> Buttons:
    buttons = [Button(str(value), f"sure:{question_id}:{value}") for value in range(11)]
    return (tuple(buttons[:6]), tuple(buttons[6:]))


# ---------------------------------------------------------------- answers


def pressed_sure(ctx: CarerContext, argument: str) -> None:
    question_id, _, value = argument.partition(":")
    question = _own_question(ctx, question_id)
    if question is None or not value.isdigit() or int(value) > 10:
        return
    ctx.note()
    text, buttons = _rated(ctx, question, int(value))
    features_chat.edit_pressed(ctx, text, buttons)


def pressed_not_tell(ctx: CarerContext, argument: str) -> None:
    question = _own_question(ctx, argument)
    if question is None:
        return
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.note()
    features_chat.edit_pressed(ctx, ctx.words("confidence.no_need"))


def _own_question(ctx: CarerContext, argument: str) -> Asked | None:
    question = ctx.uow.confidence_ratings.find(int(argument)) if argument.isdigit() else None
    if question is None or (question.family_id, question.carer_id) != (ctx.family.id, ctx.carer.id):
        ctx.note(ctx.words("edge.old_button"))
        return None
    return question


def answered_in_words(
    ctx: CarerContext, message_id: int, quoted: Said | None, alone: Reading, *, says_more: bool
) -> AskedKind | None:
    """Take a typed number, or a teach-back, as the answer; return what it answered.

    alone: the message read as if no reminder were open. says_more: it logs something or asks for something, so that
    without a quote it is no teach-back.
    """
    question = _asked_question(ctx, quoted)
    if question is None:
        return None
    number = _number_in(ctx.event.text, alone)
    if question.kind == "ruler":
        if number is None:
            return None
        text, buttons = _rated(ctx, question, number)
        for outbox_id, chat_id in ctx.uow.outbox.said_about(question.about):
            if chat_id == ctx.chat_id:
                ctx.edit(outbox_id, "")
        ctx.answer(text, buttons=buttons)
        return "ruler"
    if number is not None or (says_more and quoted is None):
        return None
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.uow.confidence_ratings.answer(question.id, None, ctx.now)
    questions.forward(ctx, message_id, "teachback", question.activity)
    return "teachback"


def _number_in(text: str, alone: Reading) -> int | None:
    """Return a bare number from 0 to 10, in figures or as one word ("eight"); None for anything else."""
    found = NUMBER.fullmatch(text)
    if found is not None:
        return int(found[1]) if int(found[1]) <= 10 else None
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if only is None or only.activity is not None or not text.strip().isalpha():
        return None
    minutes = only.minutes
    return int(minutes) if minutes is not None and minutes in range(11) else None


def answered_anew(ctx: CarerContext, kept: Message) -> bool:
    """Take the edit of a typed number as the new answer to the ruler that it answered; return whether it was one."""
    before, after = NUMBER.fullmatch(kept.text), NUMBER.fullmatch(ctx.event.text)
    if before is None or after is None or int(after[1]) > 10:
        return False
    for question in reversed(ctx.uow.confidence_ratings.asked_of(ctx.family.id, ctx.carer.id)):
        near = question.at is not None and abs(question.at - kept.at) <= EDITED_WITHIN
        if question.kind == "ruler" and near and question.value == int(before[1]):
            text, buttons = _rated(ctx, question, int(after[1]))
            ctx.answer(text, buttons=buttons)
            return True
    return False


def _asked_question(ctx: CarerContext, quoted: Said | None) -> Asked | None:
    """Return the question that a message may answer: the one it quotes, else the one asked last and not long ago."""
    if quoted is not None:
        about = quoted.about
        if about is None or about.kind != "confidence":
            return None
        question = ctx.uow.confidence_ratings.find(about.number)
        own = question is not None and question.carer_id == ctx.carer.id
        return question if own else None
    dialog = ctx.uow.chats.get(ctx.chat_id).dialog
    asked = dialog.number("asked") if dialog.step == "confidence" else None
    if asked is None:
        return None
    question = ctx.uow.confidence_ratings.find(asked)
    if question is None or question.family_id != ctx.family.id:
        return None
    if ctx.now - question.asked_at > ANSWER_WITHIN:
        return None
    newest = ctx.uow.reminders.last_sent(ctx.family.id)
    overtaken = newest is not None and newest.sent_at is not None and newest.sent_at > question.asked_at
    return None if overtaken and newest is not None and newest.state == "sent" else question


def _rated(ctx: CarerContext, question: Asked, value: int) -> tuple[str, Buttons]:
    """Keep a rating and return what to say to it. The therapist sees every rating in the digest, a low one at once."""
    ctx.uow.confidence_ratings.answer(question.id, value, ctx.now)
    if ctx.uow.chats.get(ctx.chat_id).dialog.step == "confidence":
        ctx.uow.chats.end_dialog(ctx.chat_id)
    words, therapist = ctx.words, ctx.therapist()
    if value >= SURE:
        return words("confidence.sure", value=value), ()
    buttons: Buttons = (
        row(
            Button(words.plain("confidence.show_button"), f"how:{question.activity}"),
            Button(words.plain("confidence.ask_button"), f"ask:{question.activity}"),
        ),
    )
    if value >= UNSURE:
        return words("confidence.not_so_sure", value=value, therapist=therapist.name), buttons
    if question.value is None or question.value >= UNSURE:
        _tell_therapist(ctx, question, value)
    return words("confidence.unsure", value=value, therapist=therapist.name), buttons


def _tell_therapist(ctx: CarerContext, question: Asked, value: int) -> None:
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
        buttons=(row(Button(words.plain("therapist.answer_button"), f"reply:{question_id}")),),
    )
    if told is not None:
        ctx.uow.questions.note_notified(question_id, ctx.now)
