"""What carers say and press about reminders: load, decide, apply."""

from __future__ import annotations

from bot.domain.reminders import Reminder
from bot.features.apply import apply
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.effects import Acknowledge, EditLine, Effects, Reply
from bot.features.reminders import rules
from bot.features.reminders.views import PAUSES
from bot.features.state import CarerState, load_state


def decide_later(
    ctx: CarerContext, state: CarerState, reminder: Reminder | None, minutes: float | None
) -> tuple[Effects, Content]:
    """Return how a reminder, or all of them, come back later; reads the planner's log where one reminder is meant."""
    if reminder is None:
        return rules.later_without_reminder(state, minutes)
    log = ctx.uow.reminders.planner_log(ctx.family, until=ctx.today)
    return rules.later(state, reminder, minutes, log, slack=ctx.context.slack)


def later(ctx: CarerContext, reminder: Reminder | None, minutes: float | None) -> None:
    state = load_state(ctx)
    effects, content = decide_later(ctx, state, reminder, minutes)
    closed = rules.without_buttons(state, reminder) if reminder is not None else ()
    apply(ctx, (*effects, *closed, Reply(content=content)))


def pause(ctx: CarerContext, minutes: float | None, *, asks: bool = False) -> None:
    """Send no reminders for so long. asks: "how do I pause?" is answered with the choice of how long."""
    if asks:
        apply(ctx, (Reply(content=rules.PauseOffer(how_long=True)),))
        return
    effects, content = rules.pause(load_state(ctx), minutes)
    apply(ctx, (*effects, Reply(content=content)))


def resume(ctx: CarerContext) -> None:
    effects, content = rules.resume(load_state(ctx))
    apply(ctx, (*effects, Reply(content=content)))


def wakes(ctx: CarerContext) -> None:
    """ "She's up now"."""
    effects, content = rules.awake()
    apply(ctx, (*effects, Reply(content=content)))


def pressed_awake(ctx: CarerContext) -> None:
    _in_place(ctx, load_state(ctx), *rules.awake())


def pressed_pause(ctx: CarerContext, days: int | None) -> None:
    """Pause for so many days; without a number, ask for how long."""
    state = load_state(ctx)
    if days is None:
        apply(ctx, (Acknowledge(), Reply(content=rules.PauseOffer(how_long=True))))
    elif days in PAUSES:
        _in_place(ctx, state, *rules.pause_days(state, days))
    else:
        apply(ctx, (Acknowledge(),))


def pressed_no_pause(ctx: CarerContext) -> None:
    """ "Shall I stop reminders for a while?" answered with a no."""
    _in_place(ctx, load_state(ctx), (), rules.NoPause())


def pressed_resume(ctx: CarerContext) -> None:
    state = load_state(ctx)
    _in_place(ctx, state, *rules.resume(state))


def _in_place(ctx: CarerContext, state: CarerState, effects: Effects, content: Content) -> None:
    apply(ctx, (*effects, Acknowledge(), EditLine(state.pressed, content)))
