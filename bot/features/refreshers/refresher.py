"""Explaining a hold again, asked in words or by a tap: load, decide, apply."""

from __future__ import annotations

from typing import Literal

from bot.domain.ids import MessageId
from bot.domain.outgoing import Attachment
from bot.domain.reminders import Reminder
from bot.features.apply import Work, apply, carry_out
from bot.features.context import CarerContext
from bot.features.refreshers import rules, views
from bot.features.refreshers.contents import Card
from bot.features.refreshers.rules import ForwardQuestion, RefresherState, SendMaterial
from bot.features.reminders.hold_views import arm_rests
from bot.features.reminders.holds import held_now
from bot.features.show import Shown
from bot.features.show import show as shown
from bot.features.threads import questions
from scheduling.sides import Side

MOST_NOTES = 2  # what a therapist said long ago is replaced by what was said since


def load(ctx: CarerContext, activity: str | None = None) -> RefresherState:
    """Load what is decided from. activity: whose material may be sent."""
    plan, library = ctx.plan().plan, ctx.context.library
    return RefresherState(
        plan=plan,
        today=ctx.today,
        library=frozenset(library),
        must_be_taught=frozenset(each for each in library if library.must_be_taught(each)),
        taught=frozenset(ctx.carer.taught),
        held=frozenset(held_now(ctx.context, ctx.family, plan)),
        material=tuple(ctx.uow.media.of_activity(ctx.family.id, activity)) if activity else (),
    )


def asked(ctx: CarerContext, message_id: MessageId, activity: str | None, reminder: Reminder | None) -> None:
    """Answer "how do I do that again?": the activity named, else the one just prompted, else a choice."""
    state = load(ctx, activity or (reminder.activity if reminder else None))
    apply(ctx, rules.decide_asked(state, message_id, activity, reminder))


def unknown(ctx: CarerContext, message_id: MessageId) -> None:
    apply(ctx, rules.decide_unknown(load(ctx), message_id))


def show(ctx: CarerContext, activity: str, side: Side | None) -> None:
    apply(ctx, rules.decide_show(load(ctx, activity), activity, side))


def show_part(ctx: CarerContext, activity: str, side: Side | None, part: Literal["hands", "side"]) -> None:
    apply(ctx, rules.decide_part(load(ctx), activity, side, part))


def choose(ctx: CarerContext) -> None:
    apply(ctx, rules.decide_choose(load(ctx)))


def pressed_more(ctx: CarerContext, activity: str, named: str | None) -> None:
    apply(ctx, rules.decide_more(load(ctx), activity, named))


def pressed_how(ctx: CarerContext, argument: str) -> None:
    ctx.note()
    show(ctx, argument, None)


# ---------------------------------------------------------------- carrying out


@carry_out.register
def _(effect: SendMaterial, work: Work) -> None:
    material = effect.content.material
    text, _ = shown(effect.content, work.ctx)
    attachment = Attachment(material.kind, material.activity, file_id=material.file_id)
    work.ctx.answer(text, attachment=attachment, about=material.about)


@carry_out.register
def _(effect: ForwardQuestion, work: Work) -> None:
    questions.forward(work.ctx, effect.message_id, "question", effect.activity)


@shown.register
def _(content: Card, ctx: CarerContext) -> Shown:
    return views.card_shown(
        content,
        ctx.plan().plan,
        ctx.context.library,
        ctx.words,
        family=ctx.family,
        rests=arm_rests(ctx),
        notes=ctx.uow.hold_notes.of_activity(ctx.family.id, content.activity, most=MOST_NOTES),
    )
