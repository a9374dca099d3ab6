"""What becomes of words about the family's day and place, as effects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time

from bot.domain.json_value import JsonValue
from bot.domain.outgoing import OutgoingMessage
from bot.features.apply import Work, carry_out
from bot.features.effects import Effect
from bot.features.schedule import content_views as _views  # noqa: F401 - registers how contents are shown
from bot.features.schedule import save
from bot.features.schedule.contents import StayQuestion
from bot.features.show import show
from scheduling.localtime import instant_for
from scheduling.plan import Plan

ASKED_AT = time(8)  # on the first day of a journey


@dataclass(frozen=True, slots=True)
class KeepAnswers:
    """Keep what is known so far of the first day, so that who leaves in the middle comes back to the next question."""

    draft: Mapping[str, JsonValue]


@dataclass(frozen=True, slots=True)
class ConfirmDay:
    """Note that a carer said that the day is right."""


@dataclass(frozen=True, slots=True)
class KeepDay:
    """Keep the plan with another day as a new version; the therapist and the other carers see it."""

    plan: Plan


@dataclass(frozen=True, slots=True)
class EndStay:
    """The family lives by its plan's zone again, for good."""


@dataclass(frozen=True, slots=True)
class GoAway:
    """Every baby of the chat that lives by the same clock lives by another zone up to and with a local day."""

    zone: str
    home: str
    until: date


@dataclass(frozen=True, slots=True)
class AskThatDay:
    """Ask on a local day to come, in the morning, whether the baby's times shall go by another zone up to and with `until`."""

    zone: str
    since: date
    until: date


@dataclass(frozen=True, slots=True)
class ComeHome:
    """Every baby of the chat that lives by the same clock lives by its home's zone again."""


DayEffects = tuple[
    Effect | ConfirmDay | KeepAnswers | KeepDay | EndStay | GoAway | AskThatDay | ComeHome, ...
]


@carry_out.register
def _(effect: KeepAnswers, work: Work) -> None:
    work.ctx.uow.families.keep_schedule_answers(work.ctx.family.id, effect.draft)


@carry_out.register
def _(effect: ConfirmDay, work: Work) -> None:
    work.ctx.uow.families.confirm_schedule(work.ctx.family.id, work.ctx.now)


@carry_out.register
def _(effect: KeepDay, work: Work) -> None:
    save.keep_version(work.ctx, effect.plan)


@carry_out.register
def _(effect: EndStay, work: Work) -> None:
    work.ctx.uow.families.end_stay(work.ctx.family.id)


@carry_out.register
def _(effect: GoAway, work: Work) -> None:
    save.begin_stay(work.ctx, zone=effect.zone, home=effect.home, until=effect.until)


@carry_out.register
def _(effect: AskThatDay, work: Work) -> None:
    ctx = work.ctx
    text, buttons = show(StayQuestion(effect.zone, effect.until, ahead=True), ctx)
    say = OutgoingMessage(chat_id=ctx.chat_id, text=ctx.named(text), buttons=buttons, family=ctx.family.id)
    ctx.uow.outbox.put(say, ctx.now, held_until=instant_for(effect.since, ASKED_AT, ctx.family.zone))


@carry_out.register
def _(effect: ComeHome, work: Work) -> None:
    save.end_stay(work.ctx)
