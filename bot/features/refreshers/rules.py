"""What is decided when a carer asks how a hold goes. Pure: what is known in, effects out.

Decided: the activity named, else the one just prompted, else a choice. What is not in the plan, rests, is held or must be
taught first is not explained; the therapist hears of the question. The therapist's own way comes before our card.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from bot.domain.ids import MessageId
from bot.domain.media import Material
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.effects import Acknowledge, Reply
from bot.features.refreshers.contents import Card, NotExplained, TherapistsOwn, WhichHold
from scheduling.plan import Plan
from scheduling.sides import Side

SIDES: Mapping[str, Side] = {"left": "left", "right": "right"}


@dataclass(frozen=True, slots=True)
class SendMaterial:
    """Send what the therapist keeps of a hold."""

    content: TherapistsOwn


@dataclass(frozen=True, slots=True)
class ForwardQuestion:
    """Pass the message on to the therapist as a question, about a hold where one is known."""

    message_id: MessageId
    activity: str | None


RefresherEffects = tuple[Reply | Acknowledge | SendMaterial | ForwardQuestion, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RefresherState:
    """library: the activities that have cards. must_be_taught: those for carers who were shown them alone.

    taught: what this carer was shown. held: what rests with the arm now. material: the therapist's own, by activity.
    """

    plan: Plan
    today: date
    library: frozenset[str]
    must_be_taught: frozenset[str]
    taught: frozenset[str]
    held: frozenset[str]
    material: tuple[Material, ...] = ()


def why_not(state: RefresherState, activity: str) -> NotExplained | None:
    """Return why an activity is not explained to this family now; None where it may be."""
    planned = state.plan.activity(activity)
    if activity not in state.library:
        return NotExplained("unknown", activity)
    if planned is None:
        return NotExplained("not_in_plan", activity)
    if activity in state.must_be_taught and activity not in state.taught:
        return NotExplained("taught_first", activity)
    if activity in state.held:
        return NotExplained("held", activity)
    if planned.held_on(state.today):
        if planned.from_ is not None and planned.from_ > state.today:
            return NotExplained("rests_until", activity, until=planned.from_)
        return NotExplained("rests", activity)
    return None


def decide_asked(
    state: RefresherState, message_id: MessageId, activity: str | None, reminder: Reminder | None
) -> RefresherEffects:
    """Answer "how do I do that again?" in words."""
    if activity is None and reminder is not None:
        activity = reminder.activity
    if activity is None:
        return decide_choose(state)
    found = why_not(state, activity)
    if found is not None:
        return (Reply(content=found), ForwardQuestion(message_id, activity))
    same = reminder is not None and reminder.activity == activity
    return decide_show(state, activity, reminder.side if same and reminder else None)


def decide_unknown(state: RefresherState, message_id: MessageId) -> RefresherEffects:
    """Say that a hold by that name is not known, pass the words on, and show what the plan holds."""
    unknown = Reply(content=NotExplained("unknown", ""))
    return (unknown, ForwardQuestion(message_id, None), *decide_choose(state))


def decide_show(state: RefresherState, activity: str, side: Side | None) -> RefresherEffects:
    """Send the short card of an activity of the plan, with all its stop signs; the therapist's own way first."""
    refused = _refused(state, activity)
    if refused:
        return refused
    own = tuple(SendMaterial(TherapistsOwn(each)) for each in state.material if each.activity == activity)
    return (*own, _card(activity, side, "short"))


def decide_part(
    state: RefresherState, activity: str, side: Side | None, part: Literal["hands", "side"]
) -> RefresherEffects:
    """Send one part of a card with its stop signs."""
    return _refused(state, activity) or (_card(activity, side, part),)


def decide_more(state: RefresherState, activity: str, named: str | None) -> RefresherEffects:
    """Send the whole card behind a short one. named: the side, where one was asked for."""
    shown = _refused(state, activity) or (_card(activity, SIDES.get(named or ""), "whole"),)
    return (Acknowledge(), *shown)


def decide_choose(state: RefresherState) -> RefresherEffects:
    """Let the carer pick one of their plan's activities."""
    known = tuple(each.activity for each in state.plan.activities if each.activity in state.library)
    return (Reply(content=WhichHold(known)),)


def _refused(state: RefresherState, activity: str) -> RefresherEffects:
    found = why_not(state, activity)
    return () if found is None else (Reply(content=replace(found, may_ask=activity in state.library)),)


def _card(activity: str, side: Side | None, part: Literal["short", "whole", "hands", "side"]) -> Reply:
    return Reply(content=Card(activity, side, part), about=Subject.card(activity))
