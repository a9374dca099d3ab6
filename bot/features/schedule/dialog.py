"""The day's shape, asked in a few taps when a family begins, changed in chat whenever life changes: load, decide, apply.

A change is a new version of the plan, made by the carer, so that the therapist sees it among the plan's changes. Each
answer is kept at once (families.shape_draft): who leaves in the middle comes back to the next open question.
"""

from __future__ import annotations

from collections.abc import Mapping

from bot.domain.dialogs import DialogState
from bot.domain.ids import MessageId
from bot.features.apply import apply
from bot.features.buttons import DayPart
from bot.features.context import CarerContext
from bot.features.schedule import day_rules, rules
from bot.features.schedule.contents import WhichPart
from bot.features.schedule.rules import words_of_draft
from bot.features.schedule.state import DayState, load
from bot.parsing.answers import says_no, says_yes
from bot.parsing.schedule import PARTS, Part, ShapeWords, read_shape, says_habit
from bot.replies.reading import Reading


def begin(ctx: CarerContext) -> None:
    """After joining: ask for the day, or show the one that is known."""
    apply(ctx, day_rules.decide_begin(load(ctx)))


def show(ctx: CarerContext) -> None:
    """Show the day as it is known, with the way to change it for those who may; or go on asking for it."""
    apply(ctx, day_rules.decide_show(load(ctx)))


# ---------------------------------------------------------------- written words


def answered(ctx: CarerContext, dialog: DialogState, reading: Reading) -> bool:
    """Take a typed answer to a question about the day."""
    state = load(ctx)
    if not state.fresh:
        return False
    if dialog.step == "shape_words":
        said = dialog.data.get("said")
        if says_yes(ctx.text) and isinstance(said, Mapping):
            apply(ctx, day_rules.decide_taken(state, words_of_draft(said)))
            return True
        if says_no(ctx.text):
            apply(ctx, day_rules.decide_left(state))
            return True
        return False
    part, asked_at = dialog.text("part"), dialog.instant("asked_at")
    if part not in PARTS or asked_at is None:
        return False
    if reading.entries and ctx.uow.reminders.open_in_family(ctx.family.id, since=asked_at) is not None:
        return False  # a number after a newer reminder is minutes
    words = read_shape(ctx.text, asked=part, names=(ctx.family.nickname,))
    if words is None or not words.parts:
        return False
    apply(ctx, day_rules.decide_taken(state, words))
    return True


def told_in_words(ctx: CarerContext, message_id: MessageId, reading: Reading) -> bool:
    """ "Bath is at 6 now": a change of the day, asked about before it is one."""
    words = read_shape(ctx.text, names=(ctx.family.nickname,))
    if words is None:
        return False
    if words.parts == ("bath",) and reading.entries and not says_habit(ctx.text):
        return False  # "bath at 6" may as well tell what was done
    state = load(ctx)
    if state.day_care:
        return False
    apply(ctx, day_rules.decide_told(state, words, message_id))
    return True


# ---------------------------------------------------------------- buttons


def may_press(ctx: CarerContext) -> DayState | None:
    """Take the press; return what is known, or None where this carer may not change the family's day."""
    ctx.note()
    state = load(ctx)
    return None if state.day_care else state


def pressed_right(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, day_rules.decide_right(state))


def pressed_change(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, (state.say(WhichPart()),))


def pressed_ask(ctx: CarerContext, part: Part) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, day_rules.decide_ask(state, part))


def pressed_no(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, day_rules.decide_left(state))


def pressed_apply(ctx: CarerContext) -> None:
    """Change the day as the message said that the question stands for."""
    state = may_press(ctx)
    asked = ctx.pressed()
    about = asked.about if asked else None
    if state is None or about is None or about.kind != "message":
        return
    kept = ctx.uow.messages.find(MessageId(about.number))
    words = read_shape(kept.text, names=(ctx.family.nickname,)) if kept else None
    if words is not None:
        apply(ctx, day_rules.decide_taken(state, words))


def pressed_back(ctx: CarerContext, version: int) -> None:
    state = may_press(ctx)
    if state is None:
        return
    versions = ctx.uow.plans.versions(ctx.family.id)
    earlier = next((each.plan for each in versions if each.version == version), None)
    apply(ctx, day_rules.decide_back(state, earlier))


def pressed_part(ctx: CarerContext, part: Part, value: DayPart) -> None:
    state = may_press(ctx)
    words = _tapped(state, part, value) if state is not None else None
    if state is not None and words is not None:
        apply(ctx, day_rules.decide_taken(state, words))


def _tapped(state: DayState, part: str, value: DayPart) -> ShapeWords | None:
    """Return the answer that a button stands for, with the getting up and bed that are known so far."""
    draft = words_of_draft({k: v for k, v in state.draft.items() if k != "zone"})
    wake = draft.wake if draft.wake is not None else rules.wake_of(state.plan)
    bed = draft.bed if draft.bed is not None else rules.bed_of(state.plan)
    return rules.tapped(part, value, wake, bed)
