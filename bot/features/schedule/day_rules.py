"""What is decided when the family's day is asked for, told and changed. Pure: what is known in, effects out.

Decided: the parts are asked one after the other, each answer is kept at once, and a day that is known changes only once
a carer has said yes to what was understood. Day care reads the day and never changes it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bot.domain.ids import MessageId
from bot.domain.json_value import JsonValue
from bot.domain.subject import Subject
from bot.features.effects import EndDialog, Reply, StartDialog
from bot.features.schedule import rules
from bot.features.schedule.contents import (
    ChangeQuestion,
    DayChanged,
    DayConfirmed,
    DayLine,
    DayShown,
    HomeQuestion,
    NoFit,
    PartQuestion,
    RightQuestion,
)
from bot.features.schedule.effects import ConfirmDay, DayEffects, KeepAnswers, KeepDay
from bot.features.schedule.rules import NoSuchDay, draft_of, with_shape, words_of_draft
from bot.features.schedule.state import DayState
from bot.parsing.schedule import Part, ShapeWords
from scheduling.plan import Plan

ASKED: tuple[Part, ...] = ("wake", "bed", "naps", "feeds", "bath")


def decide_begin(state: DayState) -> DayEffects:
    """After joining: ask for the day, or show the one that is known."""
    if state.day_care or state.family.shape_told_at is not None:
        return decide_show(state)
    if state.plan.awake and state.family.shape_draft is None:
        return (Reply(content=RightQuestion(state.plan)),)
    return decide_next(state, state.draft)


def decide_show(state: DayState) -> DayEffects:
    """Show the day as it is known, or go on asking for it."""
    if state.day_care:
        if not state.plan.awake:
            return (Reply(content=DayLine("not_known")),)
        return (state.say(DayShown(state.plan, may_change=False)),)
    if not state.plan.awake or state.family.shape_draft is not None:
        return decide_next(state, state.draft)
    return (state.say(DayShown(state.plan, may_change=True)),)


# ---------------------------------------------------------------- asking


def decide_next(state: DayState, draft: Mapping[str, JsonValue]) -> DayEffects:
    """Ask for the first part that is not known yet; all known: show the day and ask whether it is right."""
    if "zone" not in draft:
        zones = tuple(dict.fromkeys((state.plan.time_zone, state.clinic_zone)))
        return (StartDialog("zone", state.asked_now), state.say(HomeQuestion(zones)))
    known = words_of_draft(_without_zone(draft)).parts
    missing = [part for part in ASKED if part not in known]
    if missing:
        return decide_ask(state, missing[0], place=(ASKED.index(missing[0]) + 1, len(ASKED)))
    return (EndDialog(), state.say(RightQuestion(drafted(state, draft))))


def decide_ask(state: DayState, part: Part, *, place: tuple[int, int] | None = None) -> DayEffects:
    asked = StartDialog("shape", {"part": part, **state.asked_now})
    return (asked, state.say(PartQuestion(part, place)))


def drafted(state: DayState, draft: Mapping[str, JsonValue]) -> Plan:
    """Return the plan with the answers so far. Raises NoSuchDay where they do not fit together."""
    plan = replace(state.plan, time_zone=str(draft.get("zone", state.family.zone.key)))
    return with_shape(plan, words_of_draft(_without_zone(draft)))


def _without_zone(draft: Mapping[str, JsonValue]) -> dict[str, JsonValue]:
    return {name: value for name, value in draft.items() if name != "zone"}


# ---------------------------------------------------------------- answers


def decide_answers(state: DayState, answers: Mapping[str, JsonValue]) -> DayEffects:
    """Keep answers of the first talk and go on asking."""
    draft = rules.with_answers(state.draft, answers)
    return (KeepAnswers(draft), *decide_next(state, draft))


def decide_taken(state: DayState, words: ShapeWords) -> DayEffects:
    """Take the answer to a part that was asked for; what does not fit is asked again."""
    try:
        if not state.first_talk:
            return (EndDialog(), *decide_change(state, with_shape(state.plan, words)))
        answers = draft_of(words)
        draft = rules.with_answers(state.draft, answers)
        if "wake" in draft and "bed" in draft:
            drafted(state, draft)
        return (EndDialog(), *decide_answers(state, answers))
    except NoSuchDay as error:
        part = words.parts[0] if words.parts else "wake"
        again = StartDialog("shape", {"part": part, **state.asked_now})
        return (again, state.say(NoFit(error.reason, part)))


def decide_told(state: DayState, words: ShapeWords, message_id: MessageId) -> DayEffects:
    """ "Bath is at 6 now": ask before the day changes, since a plan hangs on it."""
    if not words.parts:
        return decide_ask(state, words.unclear[0])
    if state.first_talk:
        return decide_taken(state, words)
    try:
        new = with_shape(state.plan, words)
    except NoSuchDay as error:
        return (Reply(content=NoFit(error.reason)),)
    if new == state.plan:
        return (Reply(content=DayLine("as_before")),)
    asked = StartDialog("shape_words", {"said": draft_of(words), **state.asked_now})
    question = ChangeQuestion(state.plan, new, words.unclear, words.parts)
    return (asked, Reply(content=question, about=Subject.of("message", message_id)))


def decide_left(state: DayState) -> DayEffects:
    """Leave the day as it is."""
    return (EndDialog(), state.say(DayLine("not_changed")))


def decide_right(state: DayState) -> DayEffects:
    """ "It is right so". An old button may be pressed while parts of the first day are still open."""
    if state.being_asked:
        try:
            return (EndDialog(), *decide_change(state, drafted(state, state.draft)))
        except NoSuchDay:
            return decide_next(state, state.draft)
    return (EndDialog(), ConfirmDay(), state.say(DayConfirmed(state.plan)))


def decide_change(state: DayState, new: Plan) -> DayEffects:
    """Make a new version of the plan with another day; one tap puts the day before back."""
    if new == state.plan:
        return (ConfirmDay(), state.say(DayLine("as_before")))
    return (ConfirmDay(), KeepDay(new), state.say(DayChanged(state.plan, new, state.version)))


def decide_back(state: DayState, earlier: Plan | None) -> DayEffects:
    """Put the day of an earlier version back; the rest of the plan stays as it is now."""
    if earlier is None:
        return ()
    day = replace(
        state.plan,
        awake=earlier.awake,
        feeds=earlier.feeds,
        moments=earlier.moments,
        quiet=earlier.quiet,
        time_zone=earlier.time_zone,
    )
    return decide_change(state, day)
