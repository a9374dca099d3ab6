"""What becomes of an answer about the day, as effects."""

from __future__ import annotations

from dataclasses import dataclass

from bot.domain.learned import SuggestionState
from bot.features.apply import Work, carry_out
from bot.features.schedule import day_rules
from bot.features.schedule.contents import WhichPart
from bot.features.schedule.state import load
from scheduling.plan import Plan


@dataclass(frozen=True, slots=True)
class SettleSuggestion:
    suggestion_id: int
    state: SuggestionState


@dataclass(frozen=True, slots=True)
class ChangeDay:
    """Keep the plan with another day as a new version; the therapist and the other carers see it."""

    plan: Plan


@dataclass(frozen=True, slots=True)
class AskForDay:
    """Let the carer tell the day in their own way."""


@dataclass(frozen=True, slots=True)
class KeepTimes:
    """keep: reminders stay where the plan puts them; else they may move to where the family answers."""

    keep: bool


@carry_out.register
def _(effect: SettleSuggestion, work: Work) -> None:
    work.ctx.uow.learned.settle(effect.suggestion_id, effect.state, work.ctx.now)


@carry_out.register
def _(effect: ChangeDay, work: Work) -> None:
    for each in day_rules.decide_change(load(work.ctx), effect.plan):
        carry_out(each, work)


@carry_out.register
def _(effect: AskForDay, work: Work) -> None:
    carry_out(load(work.ctx).say(WhichPart()), work)


@carry_out.register
def _(effect: KeepTimes, work: Work) -> None:
    ctx = work.ctx
    ctx.uow.families.keep_times(ctx.family.id, keep=effect.keep, now=ctx.now)
    ctx.uow.reminders.drop_planned(ctx.family.id)
