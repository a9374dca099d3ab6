"""The one function that carries effects out, in the transaction of the act that caused them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import singledispatch

from bot.domain.ids import ConcernId, EntryId
from bot.domain.outgoing import Buttons, MessageEdit
from bot.features.context import CarerContext
from bot.features.effects import (
    Acknowledge,
    AddEntries,
    AddPlanned,
    AskConfidence,
    ChangeEntry,
    ChangeSkip,
    DropUnsent,
    EditCopy,
    EditLine,
    EndDialog,
    EndSleep,
    HoldReminders,
    MarkReminder,
    NoteObservation,
    NoteSighting,
    NoteSkip,
    PairEntries,
    PauseFamily,
    ReopenReminder,
    Reply,
    RequestReplan,
    ResumeFamily,
    SetEntries,
    StartDialog,
    Unpin,
    numbered,
)
from bot.features.show import show

NO_BUTTONS: Buttons = ()


@dataclass(frozen=True, slots=True)
class Work:
    """What carrying out needs. ids, concern_ids: the numbers that new rows got, by the negative ones they were made with."""

    ctx: CarerContext
    ids: dict[EntryId, EntryId] = field(default_factory=dict)
    concern_ids: dict[ConcernId, ConcernId] = field(default_factory=dict)

    def id(self, entry_id: EntryId) -> EntryId:
        return self.ids.get(entry_id, entry_id)

    def concern_id(self, concern_id: ConcernId) -> ConcernId:
        return self.concern_ids.get(concern_id, concern_id)


def apply(ctx: CarerContext, effects: Iterable[object]) -> None:
    """Carry out effects in their order, in the transaction of `ctx`.

    effects: of this module, or a feature's own that registered with `carry_out`. Raises TypeError for any other value.
    """
    work = Work(ctx)
    for effect in effects:
        carry_out(effect, work)
        ctx.loaded = None


@singledispatch
def carry_out(effect: object, work: Work) -> None:
    raise TypeError(f"no way to carry out {type(effect).__name__}; add one in bot/features/effects.py")


@carry_out.register
def _(effect: Reply, work: Work) -> None:
    ctx = work.ctx
    text, buttons = show(numbered(effect.content, work.ids), ctx)
    said = ctx.answer(text, buttons=buttons, about=effect.about, kind=effect.kind)
    if effect.answers is not None:
        corrects = work.id(effect.corrects) if effect.corrects is not None else None
        if corrects is None:
            ctx.uow.messages.set_line(effect.answers, said)
        else:
            ctx.uow.messages.set_correction(effect.answers, corrects, said)
    if effect.retells is not None and effect.retells != effect.answers:
        ctx.uow.messages.set_line(effect.retells, said)


@carry_out.register
def _(effect: EditLine, work: Work) -> None:
    if effect.outbox_id is None:
        return
    ctx = work.ctx
    text, buttons = (
        ("", NO_BUTTONS) if effect.content is None else show(numbered(effect.content, work.ids), ctx)
    )
    if text and ctx.answered_in_words(effect.outbox_id):
        pressed = ctx.pressed()
        ctx.answer(text, kind=effect.kind, buttons=buttons, about=pressed.about if pressed else None)
        text, buttons = "", NO_BUTTONS
    ctx.context.say(
        MessageEdit(
            chat_id=ctx.chat_id,
            text=ctx.named(text) if text else "",
            buttons=buttons,
            edits=effect.outbox_id,
            sent=effect.sent,
            family=ctx.family.id,
            kind=effect.kind,
        )
    )


@carry_out.register
def _(effect: EditCopy, work: Work) -> None:
    text, buttons = "", NO_BUTTONS
    if effect.content is not None and effect.reader is not None:
        there = CarerContext(work.ctx.context, work.ctx.event, effect.reader, work.ctx.family)
        text, buttons = show(numbered(effect.content, work.ids), there)
    work.ctx.context.say(
        MessageEdit(
            chat_id=effect.chat_id,
            text=text,
            buttons=buttons,
            edits=effect.outbox_id,
            sent=effect.content is None,  # only what has gone out loses its buttons
            family=work.ctx.family.id,
            kind="reply" if text else "tidy",
        )
    )


@carry_out.register
def _(effect: Acknowledge, work: Work) -> None:
    work.ctx.note("" if effect.content is None else show(effect.content, work.ctx)[0])


@carry_out.register
def _(effect: AddEntries, work: Work) -> None:
    kept = work.ctx.uow.entries.add_all(effect.entries)
    work.ids.update(zip((entry.id for entry in effect.entries), kept, strict=True))


@carry_out.register
def _(effect: SetEntries, work: Work) -> None:
    if effect.ids:
        work.ctx.uow.entries.set_state([work.id(each) for each in effect.ids], effect.state)


@carry_out.register
def _(effect: ChangeEntry, work: Work) -> None:
    work.ctx.uow.entries.correct(
        work.id(effect.entry_id),
        activity=effect.activity,
        minutes=effect.minutes,
        side=effect.side,
        local_date=effect.local_date,
        at=effect.at,
        reminder_id=effect.reminder_id,
    )


@carry_out.register
def _(effect: PairEntries, work: Work) -> None:
    work.ctx.uow.entries.note_twins(work.id(effect.first), work.id(effect.second))


@carry_out.register
def _(effect: NoteObservation, work: Work) -> None:
    ctx = work.ctx
    ctx.uow.observations.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=effect.message_id,
        kind=effect.observation.kind,
        side=effect.observation.side,
        activity=effect.activity,
        at=ctx.now,
    )


@carry_out.register
def _(effect: NoteSkip, work: Work) -> None:
    ctx, reminder = work.ctx, effect.reminder
    ctx.uow.observations.add_skip(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=effect.message_id,
        reminder_id=reminder.id if reminder else None,
        activity=reminder.activity if reminder else None,
        reason=effect.reason,
        at=ctx.now,
    )


@carry_out.register
def _(effect: ChangeSkip, work: Work) -> None:
    work.ctx.uow.observations.correct_skip(effect.reminder_id, reason=effect.reason)


@carry_out.register
def _(effect: MarkReminder, work: Work) -> None:
    work.ctx.uow.reminders.mark(effect.reminder_id, effect.state, now=work.ctx.now, reason=effect.reason)


@carry_out.register
def _(effect: ReopenReminder, work: Work) -> None:
    work.ctx.uow.reminders.reopen(effect.reminder_id)


@carry_out.register
def _(effect: Unpin, work: Work) -> None:
    work.ctx.uow.reminders.unpin(work.ctx.family.id, effect.activity, effect.day)


@carry_out.register
def _(effect: DropUnsent, work: Work) -> None:
    work.ctx.uow.outbox.drop_about(effect.about)


@carry_out.register
def _(effect: RequestReplan, work: Work) -> None:
    work.ctx.uow.families.request_replan(work.ctx.family.id, work.ctx.now, heard=True)
    work.ctx.heard = True


@carry_out.register
def _(effect: StartDialog, work: Work) -> None:
    work.ctx.start_dialog(effect.step, effect.data)


@carry_out.register
def _(effect: EndDialog, work: Work) -> None:
    work.ctx.end_dialog()


@carry_out.register
def _(effect: AskConfidence, work: Work) -> None:
    ctx = work.ctx
    question = ctx.uow.confidence_ratings.ask(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        activity=effect.activity,
        kind=effect.kind,
        now=ctx.now,
    )
    ctx.start_dialog("confidence", {"asked": question.id})
    text, buttons = show(effect.content(question.id, effect.activity), ctx)
    ctx.answer(text, buttons=buttons, about=question.about)


@carry_out.register
def _(effect: HoldReminders, work: Work) -> None:
    ctx = work.ctx
    if effect.why == "asleep":
        ctx.uow.families.note_asleep(ctx.family.id, until=effect.until, now=ctx.now)
    else:
        ctx.uow.families.hold(ctx.family.id, until=effect.until, now=ctx.now)
    ctx.uow.reminders.drop_planned(ctx.family.id, before=effect.until)


@carry_out.register
def _(effect: EndSleep, work: Work) -> None:
    work.ctx.uow.families.note_awake(work.ctx.family.id, work.ctx.now)


@carry_out.register
def _(effect: NoteSighting, work: Work) -> None:
    work.ctx.uow.learned.note_sighting(work.ctx.family.id, effect.what, work.ctx.now)


@carry_out.register
def _(effect: PauseFamily, work: Work) -> None:
    ctx = work.ctx
    ctx.uow.families.pause(ctx.family.id, until=effect.until)
    ctx.uow.reminders.drop_planned(ctx.family.id)
    ctx.uow.notes.add_pause(ctx.family.id, ctx.now, until=effect.until)


@carry_out.register
def _(effect: ResumeFamily, work: Work) -> None:
    ctx = work.ctx
    ctx.uow.families.resume(ctx.family.id, ctx.now)
    if effect.was_paused:
        ctx.uow.notes.add_resume(ctx.family.id, ctx.now)


@carry_out.register
def _(effect: AddPlanned, work: Work) -> None:
    work.ctx.uow.reminders.add_planned(
        work.ctx.family.id, effect.day, [dict(each) for each in effect.reminders]
    )
