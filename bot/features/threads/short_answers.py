"""Short reviewed answers: one tap shows the therapist what fits, in her language; the next sends one in the carer's own."""

from __future__ import annotations

from bot.concerns.finding import Concern
from bot.domain.concerns import QuestionRow
from bot.domain.ids import ConcernId, QuestionId
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import edit_pressed, say
from bot.features.concerns import resolve
from bot.features.concerns.short_answers import SHORT_ANSWERS, ShortAnswer, to_concern, to_question
from bot.features.context import Context
from bot.features.events import ButtonPressed, Event, TextWritten
from bot.features.reminders import holds
from bot.features.threads import answers
from bot.parsing.sleep import speaks_of_unsafe_sleep
from bot.phrases import Words, words_for

CARE = frozenset({"bath", "dressing"})
"""Care that no family can leave out."""


def pressed_concern(context: Context, event: Event, therapist: Therapist, concern_id: ConcernId) -> None:
    """Show the short answers to a concern; it counts as seen, as it does by "Answer"."""
    found = resolve.own_concern(context, therapist, concern_id)
    if found is not None and _show(context, event, therapist, found.about):
        resolve.settle(context, found, therapist, "seen")
    elif found is None:
        say(context, event, words_for(therapist.language)("therapist.not_yours"))


def pressed_question(context: Context, event: Event, therapist: Therapist, question_id: QuestionId) -> None:
    """Show the short answers to a question."""
    _show(context, event, therapist, Subject.of("question", question_id))


def _show(context: Context, event: Event, therapist: Therapist, about: Subject) -> bool:
    """Show what may be sent; return whether there was anything to show and anybody to send it to."""
    words = words_for(therapist.language)
    to = answers.recipient(context, therapist, about)
    offered = _offered(context, to) if to is not None else ()
    if to is None:
        say(context, event, words("therapist.not_yours"))
    elif not to.carers:
        say(context, event, words("therapist.carer_gone"))
    elif not offered:
        say(context, event, words("short.none"))
    else:
        # Not about the concern itself: what stands under every alert of it would be written here too.
        mine = Subject.family(to.family.id, to.carers[0].id)
        say(context, event, *_list(context, to, offered, words), about=mine)
        return True
    return False


def _list(
    context: Context, to: answers.Recipient, offered: tuple[ShortAnswer, ...], words: Words
) -> tuple[str, Buttons]:
    carer = to.carers[0]
    theirs = words.plain(f"short.in_{words_for(carer.language).language}")
    lines = [words("short.title", carer=carer.name, nickname=to.family.nickname, language=theirs)]
    buttons = []
    for name in offered:
        label = words.plain(f"short.{name}_button")
        lines.append(words("short.line", label=label, text=_text(context, to, name, words)))
        buttons.append(row(Button(label, _data(to, name))))
    return "\n\n".join([*lines, words("short.review")]), tuple(buttons)


def _data(to: answers.Recipient, name: ShortAnswer) -> str:
    if to.concern is not None:
        return verbs.SEND_SHORT_CONCERN.data(to.concern.id, name)
    assert to.question is not None  # a short answer answers something
    return verbs.SEND_SHORT_QUESTION.data(to.question.id, name)


def _text(context: Context, to: answers.Recipient, name: ShortAnswer, words: Words) -> str:
    """Return a short answer as plain text, with the numbers that this family calls where it is now."""
    if name == "safe_sleep":
        return words.plain("sleep.safe")
    numbers = context.numbers(to.family, words.language)
    activity = to.question.activity if to.question is not None else None
    named = context.library.in_sentence(activity, words.language) if activity is not None else ""
    return words.plain(f"short.{name}", **{**numbers.fields(), "activity": named})


def _offered(context: Context, to: answers.Recipient) -> tuple[ShortAnswer, ...]:
    if to.concern is not None:
        return to_concern(Concern(to.concern.urgency, to.concern.topics))
    found = to.question
    if found is None:
        return ()
    raised = _concerns_of(context, found)
    if raised:
        offers = [to_concern(each) for each in raised]
        return tuple(name for name in offers[0] if all(name in offer for offer in offers))
    return to_question(
        found.kind,
        of_activity=found.activity in context.library and found.activity not in CARE,
        rests=_rests(context, to.family, found.activity),
        unsafe_sleep=speaks_of_unsafe_sleep(found.text or ""),
    )


def _concerns_of(context: Context, found: QuestionRow) -> list[Concern]:
    """Return the concern that a question goes on from, and those that its own message raised."""
    uow = context.uow
    rows = [] if found.message_id is None else uow.concerns.of_message(found.message_id)
    if found.thread is not None and found.thread.kind == "concern":
        began = uow.concerns.find(ConcernId(found.thread.number))
        rows = [*rows, *([began] if began is not None else [])]
    return [Concern(each.urgency, each.topics) for each in rows if each.family_id == found.family_id]


def _rests(context: Context, family: Family, activity: str | None) -> bool:
    version = context.uow.plans.current(family.id)
    held = holds.held_now(context, family, version.plan) if version is not None else frozenset()
    return bool(held) if activity is None else activity in held


def pressed_send_concern(
    context: Context, event: Event, therapist: Therapist, concern_id: ConcernId, name: str
) -> None:
    _send(context, event, therapist, Subject.of("concern", concern_id), name)


def pressed_send_question(
    context: Context, event: Event, therapist: Therapist, question_id: QuestionId, name: str
) -> None:
    _send(context, event, therapist, Subject.of("question", question_id), name)


def _send(context: Context, event: Event, therapist: Therapist, about: Subject, name: str) -> None:
    """Send one in the carer's language, and show in place of the list what went out; a second tap sends nothing more."""
    words = words_for(therapist.language)
    to = answers.recipient(context, therapist, about)
    if to is None or not isinstance(event, ButtonPressed):
        say(context, event, words("therapist.not_yours"))
        return
    if not to.carers:
        say(context, event, words("therapist.carer_gone"))
        return
    chosen = next((each for each in SHORT_ANSWERS if each == name), None)
    if chosen not in _offered(context, to) or context.uow.answers.of_message(event.chat_id, event.message_id):
        say(context, event, words("edge.old_button"))
        return
    carer = to.carers[0]
    answers.deliver(context, _written(context, event, to, carer, chosen), therapist, to)
    sent = words("short.sent", carer=carer.name, text=_text(context, to, chosen, words))
    edit_pressed(context, event, sent)


def _written(
    context: Context, event: ButtonPressed, to: answers.Recipient, carer: Carer, name: ShortAnswer
) -> TextWritten:
    """Return the message that the therapist would have written to say the same."""
    return TextWritten(
        chat_id=event.chat_id,
        at=event.at,
        message_id=event.message_id,
        text=_text(context, to, name, words_for(carer.language)),
    )
