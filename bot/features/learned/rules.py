"""What a carer's answer about the day decides. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from bot.domain.learned import AskedSuggestion
from bot.domain.reminders import Copy
from bot.domain.roles import is_day_care
from bot.features.effects import Acknowledge, EditCopy, EditLine, Effect, Reply
from bot.features.learned.contents import DayLeft, DayMovedOn, TimesKept, TimesLearned
from bot.features.learned.effects import AskForDay, ChangeDay, KeepTimes, SettleSuggestion
from bot.features.state import CarerState
from scheduling.learned.suggestion import Suggestion, Times
from scheduling.plan import Plan

Answer = Literal["yes", "no", "other"]
LearnedEffect = Effect | SettleSuggestion | ChangeDay | AskForDay | KeepTimes


def answered(
    state: CarerState, asked: AskedSuggestion, answer: Answer, copies: Iterable[Copy]
) -> tuple[LearnedEffect, ...]:
    """Return what an answer does. copies: where the question stands in chats; the others lose their buttons.

    Only a carer who may change the day answers; what the day no longer says is not changed.
    """
    if is_day_care(state.carer):
        return (Acknowledge(),)
    tidy = [
        EditCopy(copy.outbox_id, copy.chat_id, None, None)
        for copy in copies
        if copy.outbox_id != state.pressed
    ]
    if asked.state != "asked" or told_now(state.plan, asked.suggestion) != asked.suggestion.from_value:
        return (Acknowledge(), EditLine(state.pressed, DayMovedOn()), *tidy)
    settled: tuple[LearnedEffect, ...] = (Acknowledge(), SettleSuggestion(asked.id, answer), *tidy)
    match answer:
        case "yes":
            return (*settled, ChangeDay(with_change(state.plan, asked.suggestion)))
        case "no":
            return (*settled, EditLine(state.pressed, DayLeft()))
        case "other":
            return (*settled, AskForDay())


def times(state: CarerState, *, keep: bool) -> tuple[LearnedEffect, ...]:
    """Return what "keep my times", or the wish to have them learned again, does."""
    if is_day_care(state.carer):
        return (Acknowledge(),)
    content = TimesKept() if keep else TimesLearned()
    shown = Reply(content=content) if state.pressed is None else EditLine(state.pressed, content)
    return (Acknowledge(), KeepTimes(keep), shown)


def told_now(plan: Plan, found: Suggestion) -> Times:
    """Return what the plan now says in the field of a suggestion."""
    return plan.awake if found.field == "awake" else tuple((at,) for at in plan.feeds)


def with_change(plan: Plan, found: Suggestion) -> Plan:
    """Return the plan with what was suggested in place of what it says."""
    if found.field == "awake":
        return replace(plan, awake=tuple((start, end) for start, end in found.to_value))
    return replace(plan, feeds=tuple(at for (at,) in found.to_value))
