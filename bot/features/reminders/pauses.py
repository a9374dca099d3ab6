"""Life happens: asleep, later, unwell, away, pause and resume. The rest of the day is replanned."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family
from bot.domain.reminders import Reminder
from bot.features import chat
from bot.features.context import CarerContext
from bot.features.formats import clock_shown, day_shown
from bot.features.reminders import replanning
from scheduling.localtime import instant_for
from scheduling.plan import Plan

SHORTEST_SLEEP = timedelta(minutes=20)
LATER = timedelta(minutes=30)  # where a carer names no time
LONGEST_LATER = timedelta(hours=12)
# What "pause" offers, in days from today; 0: until the carer says.
PAUSES = {
    1: "pause.tomorrow_button",
    3: "pause.three_days_button",
    7: "pause.week_button",
    0: "pause.open_button",
}


def asleep(ctx: CarerContext) -> tuple[str, Buttons]:
    """Hold reminders back until the baby is awake again, by word or by the day's shape; at least 20 minutes."""
    plan = (ctx.plan()).plan
    until = wakes_at(plan, ctx.family, ctx.now)
    ctx.uow.families.change(ctx.family.id, asleep_until=until, plan_at=ctx.now)
    ctx.uow.reminders.drop_planned(ctx.family.id, before=until)
    text = ctx.words(
        "pause.asleep", nickname=ctx.family.nickname, time=clock_shown(ctx.family, until, ctx.words)
    )
    return text, (row(Button(ctx.words.plain("pause.awake_button"), "awake")),)


def wakes_at(plan: Plan, family: Family, now: datetime) -> datetime:
    """Return when a baby who sleeps now is usually awake: the next waking span to begin, 20 minutes away or more."""
    earliest = now + SHORTEST_SLEEP
    today = family.local(now).date()
    for offset in range(3):
        for start, _ in plan.awake:
            begins = instant_for(today + timedelta(days=offset), start, family.zone)
            if begins > now:
                return max(begins, earliest)
    return earliest


def pressed_awake(ctx: CarerContext, argument: str) -> None:
    awake(ctx)
    ctx.note()
    chat.edit_pressed(ctx, ctx.words("pause.awake", nickname=ctx.family.nickname))


def awake(ctx: CarerContext) -> None:
    ctx.uow.families.change(ctx.family.id, asleep_until=None, plan_at=ctx.now)


def later(ctx: CarerContext, reminder: Reminder | None, minutes: float | None) -> str:
    """Bring a reminder back after `minutes` (30 where none are named), at a moment that the plan allows."""
    wait = min(timedelta(minutes=minutes) if minutes else LATER, LONGEST_LATER)
    if reminder is None:
        ctx.uow.families.change(ctx.family.id, hold_until=ctx.now + wait, plan_at=ctx.now)
        ctx.uow.reminders.drop_planned(ctx.family.id, before=ctx.now + wait)
        return ctx.words("pause.hold", time=clock_shown(ctx.family, ctx.now + wait, ctx.words))
    if reminder.state in ("sent", "expired"):
        ctx.uow.reminders.mark(reminder.id, "later", now=ctx.now)
    plan = (ctx.plan()).plan
    at = replanning.bring_back(ctx.context, ctx.family, plan, reminder, ctx.now + wait)
    if at is None:
        return ctx.words("pause.later_not_today", activity=ctx.activity_name(reminder.activity))
    return ctx.words(
        "pause.later",
        activity=ctx.activity_name(reminder.activity),
        time=clock_shown(ctx.family, at, ctx.words),
    )


# ---------------------------------------------------------------- unwell, away: a pause is offered


def unwell(ctx: CarerContext) -> tuple[str, Buttons]:
    """Wish the baby well without a word on how they are, and offer a pause."""
    clinic = ctx.context.clinic
    text = ctx.words(
        "pause.unwell",
        nickname=ctx.family.nickname,
        nurse_line=clinic.nurse_line,
        emergency_line=clinic.emergency_line,
    )
    return text, pause_buttons(ctx)


def away(ctx: CarerContext) -> tuple[str, Buttons]:
    return ctx.words("pause.away"), pause_buttons(ctx)


def pause_buttons(ctx: CarerContext, *, but: int | None = None) -> Buttons:
    """Return how long a pause may be. but: the length that is chosen already."""
    buttons = [Button(ctx.words.plain(key), f"pause:{days}") for days, key in PAUSES.items() if days != but]
    return tuple(tuple(buttons[i : i + 2]) for i in range(0, len(buttons), 2))


def pause(ctx: CarerContext, minutes: float | None) -> tuple[str, Buttons]:
    """Stop reminders at once: so long as said, else until tomorrow; other lengths are one tap away."""
    if minutes:
        days = None if minutes % 1440 else round(minutes / 1440)
        if days is None:
            return _pause_until(ctx, ctx.now + timedelta(minutes=minutes), None)
        return pause_days(ctx, days)
    return pause_days(ctx, 1)


def pause_days(ctx: CarerContext, days: int) -> tuple[str, Buttons]:
    """Stop reminders until the start of the day `days` days from today; with 0 until the carer says."""
    until = instant_for(ctx.today + timedelta(days=days), time(0), ctx.family.zone) if days else None
    return _pause_until(ctx, until, days)


def _pause_until(ctx: CarerContext, until: datetime | None, days: int | None) -> tuple[str, Buttons]:
    ctx.uow.families.change(ctx.family.id, state="paused", paused_until=until)
    ctx.uow.reminders.drop_planned(ctx.family.id)
    seconds = int(until.timestamp()) if until is not None else 0
    ctx.uow.notes.add(ctx.family.id, "pause", ctx.now, until=seconds)
    nickname = ctx.family.nickname
    if until is None:
        text = ctx.words("pause.paused_open", nickname=nickname)
    else:
        local = ctx.family.local(until)
        shown = day_shown(local.date(), ctx.words)
        text = (
            ctx.words("pause.paused_days", nickname=nickname, day=shown)
            if days is not None
            else ctx.words(
                "pause.paused", nickname=nickname, day=shown, time=clock_shown(ctx.family, until, ctx.words)
            )
        )
    resume_row = row(Button(ctx.words.plain("pause.resume_button"), "resume"))
    return text, (*pause_buttons(ctx, but=days), resume_row)


def pressed_pause(ctx: CarerContext, argument: str) -> None:
    """ "pause:3": three days; "pause:ask": which lengths there are."""
    ctx.note()
    if argument == "ask":
        ctx.answer(ctx.words("pause.how_long"), buttons=pause_buttons(ctx))
        return
    if not argument.isdigit() or int(argument) not in PAUSES:
        return
    text, buttons = pause_days(ctx, int(argument))
    chat.edit_pressed(ctx, text, buttons)


def resume(ctx: CarerContext) -> str:
    """Start again: after a pause, or when the baby is awake, or when "later" is over by word."""
    was_paused = ctx.family.state == "paused"
    was_asleep = ctx.family.asleep_until is not None and ctx.family.asleep_until > ctx.now
    ctx.uow.families.change(
        ctx.family.id,
        state="active" if was_paused else ctx.family.state,
        paused_until=None,
        asleep_until=None,
        hold_until=None,
        plan_at=ctx.now,
    )
    if was_paused:
        ctx.uow.notes.add(ctx.family.id, "resume", ctx.now)
    if was_asleep and not was_paused:
        return ctx.words("pause.awake", nickname=ctx.family.nickname)
    return ctx.words("pause.resumed", nickname=ctx.family.nickname)


def pressed_resume(ctx: CarerContext, argument: str) -> None:
    text = resume(ctx)
    ctx.note()
    chat.edit_pressed(ctx, text)
