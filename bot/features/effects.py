"""What rules decide, as frozen values, and the one function that carries them out.

A rule reads a state and returns effects; nothing is read or written while it decides. Entries that a rule makes bear
negative numbers; they get their own when they are kept, and contents shown later name them rightly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from functools import singledispatch
from typing import Any, Literal, TypeVar

from bot.domain.confidence import AskedKind
from bot.domain.entries import EntryState, LogEntry
from bot.domain.json_value import JsonValue
from bot.domain.outgoing import Buttons, Kind, OutgoingMessage
from bot.domain.people import Carer
from bot.domain.reminders import Reminder, ReminderState
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from bot.features.show import show
from bot.replies.reading import Observation, Side, SkipReason

C = TypeVar("C")
NO_BUTTONS: Buttons = ()

# ---------------------------------------------------------------- what is said


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """Say a content in this chat.

    answers: the kept message whose answering line this becomes; corrects: the entry that the message put right.
    retells: another kept message whose line this is from now on.
    """

    content: object
    about: Subject | None = None
    kind: Kind = "reply"
    answers: int | None = None
    corrects: int | None = None
    retells: int | None = None


@dataclass(frozen=True, slots=True)
class EditLine:
    """Show a content in place of an earlier message of this chat; None takes its buttons and leaves its words."""

    outbox_id: int | None
    content: object | None
    kind: Kind = "reply"
    sent: bool = False  # it is known to have gone out


@dataclass(frozen=True, slots=True)
class EditCopy:
    """Show a content in place of a message in another chat of the family. reader: whose chat it is."""

    outbox_id: int
    chat_id: int
    reader: Carer | None
    content: object | None


@dataclass(frozen=True, slots=True)
class Acknowledge:
    """Answer a pressed button with a passing note, or with nothing."""

    content: object | None = None


# ---------------------------------------------------------------- what is kept


@dataclass(frozen=True, slots=True)
class AddEntries:
    entries: tuple[LogEntry, ...]


@dataclass(frozen=True, slots=True)
class SetEntries:
    """Count, undo or replace entries."""

    ids: tuple[int, ...]
    state: EntryState


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry:
    """Give an entry other values; None leaves a value as it is."""

    entry_id: int
    activity: str | None = None
    minutes: float | None = None
    side: Side | None = None
    local_date: date | None = None
    reminder_id: int | None = None


@dataclass(frozen=True, slots=True)
class PairEntries:
    """Two entries of two carers that were asked about as perhaps one session."""

    first: int
    second: int


@dataclass(frozen=True, slots=True)
class NoteObservation:
    observation: Observation
    message_id: int
    activity: str | None


@dataclass(frozen=True, slots=True)
class NoteSkip:
    reason: SkipReason
    message_id: int | None
    reminder: Reminder | None


@dataclass(frozen=True, slots=True)
class ChangeSkip:
    reminder_id: int
    reason: SkipReason


@dataclass(frozen=True, slots=True)
class MarkReminder:
    reminder_id: int
    state: ReminderState
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class ReopenReminder:
    reminder_id: int


@dataclass(frozen=True, slots=True)
class Unpin:
    """Leave a repeat that somebody asked for to the planner again."""

    activity: str
    day: date


@dataclass(frozen=True, slots=True)
class DropUnsent:
    """Take back what was not sent yet about one thing."""

    about: Subject


@dataclass(frozen=True, slots=True)
class RequestReplan:
    pass


@dataclass(frozen=True, slots=True)
class StartDialog:
    """Remember what the next message of this chat may answer."""

    step: str
    data: Mapping[str, JsonValue]


@dataclass(frozen=True, slots=True)
class EndDialog:
    pass


@dataclass(frozen=True, slots=True)
class AskConfidence:
    """Ask a carer how sure they feel with an activity, or how they do it."""

    activity: str
    kind: AskedKind
    content: Callable[[int, str], object]  # of the question's number and the activity


@dataclass(frozen=True, slots=True)
class HoldReminders:
    """Hold reminders back until an instant. why: the baby sleeps, or a carer said "later"."""

    until: datetime
    why: Literal["asleep", "later"]


@dataclass(frozen=True, slots=True)
class EndSleep:
    pass


@dataclass(frozen=True, slots=True)
class PauseFamily:
    """Send no reminders until an instant; None: until somebody says."""

    until: datetime | None


@dataclass(frozen=True, slots=True)
class ResumeFamily:
    """End a pause, a sleep and a "later". was_paused: there was a pause, which the digest tells."""

    was_paused: bool


@dataclass(frozen=True, slots=True)
class AddPlanned:
    """Plan reminders for a local day, beside those that are there."""

    day: date
    reminders: tuple[Mapping[str, Any], ...]


Effect = (
    Reply
    | EditLine
    | EditCopy
    | Acknowledge
    | AddEntries
    | SetEntries
    | ChangeEntry
    | PairEntries
    | NoteObservation
    | NoteSkip
    | ChangeSkip
    | MarkReminder
    | ReopenReminder
    | Unpin
    | DropUnsent
    | RequestReplan
    | StartDialog
    | EndDialog
    | AskConfidence
    | HoldReminders
    | EndSleep
    | PauseFamily
    | ResumeFamily
    | AddPlanned
)
Effects = tuple[Effect, ...]


# ---------------------------------------------------------------- carrying them out


@dataclass(frozen=True, slots=True)
class Work:
    """What carrying out needs. ids: the numbers that new entries got, by the negative ones they were made with."""

    ctx: CarerContext
    ids: dict[int, int]

    def id(self, entry_id: int) -> int:
        return self.ids.get(entry_id, entry_id)


def apply(ctx: CarerContext, effects: Iterable[object]) -> None:
    """Carry out effects in their order, in the transaction of `ctx`.

    effects: of this module, or a feature's own that registered with `carry_out`. Raises TypeError for any other value.
    """
    work = Work(ctx, {})
    for effect in effects:
        carry_out(effect, work)
    ctx.loaded = None


@singledispatch
def carry_out(effect: object, work: Work) -> None:
    raise TypeError(f"no way to carry out {type(effect).__name__}; add one in bot/features/effects.py")


def _numbered(value: C, ids: Mapping[int, int]) -> C:
    """Return a content with every new entry in it numbered as kept."""
    if not ids:
        return value
    if isinstance(value, LogEntry):
        return replace(value, id=ids.get(value.id, value.id))
    if isinstance(value, tuple):
        return type(value)(_numbered(each, ids) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {each.name: _numbered(getattr(value, each.name), ids) for each in fields(value)}
        same = all(changed[name] is getattr(value, name) for name in changed)
        return value if same else replace(value, **changed)
    return value


@carry_out.register
def _(effect: Reply, work: Work) -> None:
    ctx = work.ctx
    text, buttons = show(_numbered(effect.content, work.ids), ctx)
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
        ("", NO_BUTTONS) if effect.content is None else show(_numbered(effect.content, work.ids), ctx)
    )
    ctx.context.say(
        OutgoingMessage(
            chat_id=ctx.chat_id,
            text=ctx.named(text) if text else "",
            buttons=buttons,
            edits=effect.outbox_id,
            edits_sent=effect.sent,
            family=ctx.family.id,
            kind=effect.kind,
        )
    )


@carry_out.register
def _(effect: EditCopy, work: Work) -> None:
    text, buttons = "", NO_BUTTONS
    if effect.content is not None and effect.reader is not None:
        there = replace_reader(work.ctx, effect.reader)
        text, buttons = show(_numbered(effect.content, work.ids), there)
    work.ctx.context.say(
        OutgoingMessage(
            chat_id=effect.chat_id,
            text=text,
            buttons=buttons,
            edits=effect.outbox_id,
            family=work.ctx.family.id,
            kind="reply" if text else "tidy",
        )
    )


def replace_reader(ctx: CarerContext, reader: Carer) -> CarerContext:
    """Return the context with another carer of the family as the one who reads."""
    return CarerContext(ctx.context, ctx.event, reader, ctx.family)


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
