"""What becomes of a carer's concern, as effects. A concern that a rule makes bears a negative number until it is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from bot.concerns.advice import DISCREET, EITHER, OF_THE_CARER, is_discreet
from bot.concerns.finding import Concern
from bot.concerns.schema import Advice as Text
from bot.domain.ids import ConcernId, MessageId
from bot.domain.subject import Subject
from bot.features.apply import Work, carry_out
from bot.features.concerns import day_after, notify
from bot.features.concerns.contents import Advice, AskedTemperature, AskedWhether, KeptFromView
from bot.features.content import Content
from bot.features.show import show

NEW = ConcernId(-1)


@dataclass(frozen=True, slots=True)
class KeepConcern:
    """Keep a concern as number NEW, in the carer's own words. ask_until: it is unclear, and asked about until then."""

    found: Concern
    message_id: MessageId
    ask_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Advise:
    """Give the reviewed advice, the gravest text first. What must not show in the home comes only once it is opened.

    spoken: false where the carer got it with another baby's concern.
    """

    concern_id: ConcernId
    texts: tuple[Text, ...]
    urgent: bool
    spoken: bool = True


@dataclass(frozen=True, slots=True)
class AskWhether:
    """Ask the carer whether a sign that neither stands nor is denied is happening now."""

    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class AskTemperature:
    """Ask the carer to take the temperature."""

    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class ConfirmConcern:
    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class DenyConcern:
    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class HoldArm:
    """Hold what moves or loads the arm, and tell the carer why."""

    concern_id: ConcernId


@dataclass(frozen=True, slots=True)
class RestReminders:
    """Send no reminders before the carer has been asked how the baby is, on the morning after."""


@dataclass(frozen=True, slots=True)
class NotifyTherapists:
    concern_id: ConcernId


@carry_out.register
def _(effect: KeepConcern, work: Work) -> None:
    ctx = work.ctx
    work.concern_ids[NEW] = ctx.uow.concerns.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=effect.message_id,
        urgency=effect.found.urgency,
        topics=effect.found.topics,
        text=ctx.text,
        at=ctx.now,
        ask_until=effect.ask_until,
        discreet=is_discreet(effect.found),
    )


@carry_out.register
def _(effect: Advise, work: Work) -> None:
    concern_id = work.concern_id(effect.concern_id)
    for content in _advice(effect.texts, concern_id, work.ctx.text) if effect.spoken else ():
        text, buttons = show(content, work.ctx)
        work.ctx.answer(
            text,
            kind="concern" if effect.urgent else "reply",
            about=Subject.of("concern", concern_id),
            buttons=buttons,
        )
    work.ctx.uow.concerns.set_advice(concern_id, f"advice.{effect.texts[0]}")


def _advice(texts: tuple[Text, ...], concern_id: ConcernId, told: str) -> Iterator[Content]:
    """Yield what is said at once: a text for the baby is never kept behind a button.

    told: the carer's words. They are not said back beside advice that is kept from view, nor where the carer is in need
    or no rule says whose trouble it is: whoever looks at the screen would read them.
    """
    shown = tuple(text for text in texts if text not in DISCREET)
    said_back = shown == texts and (OF_THE_CARER | EITHER).isdisjoint(texts)
    if shown:
        yield Advice(shown, told if said_back else "")
    if shown != texts:
        yield KeptFromView(concern_id)


@carry_out.register
def _(effect: AskWhether, work: Work) -> None:
    concern_id = work.concern_id(effect.concern_id)
    text, buttons = show(AskedWhether(concern_id), work.ctx)
    work.ctx.answer(text, kind="concern", about=Subject.of("concern", concern_id), buttons=buttons)


@carry_out.register
def _(effect: AskTemperature, work: Work) -> None:
    concern_id = work.concern_id(effect.concern_id)
    text, buttons = show(AskedTemperature(concern_id, work.ctx.text), work.ctx)
    work.ctx.answer(text, kind="concern", about=Subject.of("concern", concern_id), buttons=buttons)


@carry_out.register
def _(effect: ConfirmConcern, work: Work) -> None:
    work.ctx.uow.concerns.confirm(effect.concern_id)


@carry_out.register
def _(effect: DenyConcern, work: Work) -> None:
    work.ctx.uow.concerns.deny(effect.concern_id)


@carry_out.register
def _(effect: HoldArm, work: Work) -> None:
    notify.hold_arm(work.ctx.context, work.ctx.uow.concerns.get(work.concern_id(effect.concern_id)))


@carry_out.register
def _(effect: RestReminders, work: Work) -> None:
    ctx = work.ctx
    until = day_after.ask_at(ctx.now, ctx.family.zone)
    if ctx.family.rest_until is None or ctx.family.rest_until < until:
        ctx.uow.families.rest(ctx.family.id, until=until, now=ctx.now)
    ctx.uow.reminders.drop_planned(ctx.family.id, before=until)


@carry_out.register
def _(effect: NotifyTherapists, work: Work) -> None:
    notify.notify(work.ctx.context, work.concern_id(effect.concern_id))
