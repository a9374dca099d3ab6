"""Reminders, and what holds them back, in words."""

from __future__ import annotations

from datetime import datetime

from bot.activities.library import Library
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Carer
from bot.domain.reminders import Reminder
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import clock_shown, day_shown, minutes_shown
from bot.features.reminders.rules import (
    Asleep,
    Awake,
    Away,
    BackAt,
    DoneBy,
    HeldUntil,
    NoPause,
    Paused,
    PauseOffer,
    ReminderShown,
    Resumed,
    Unwell,
)
from bot.features.show import Shown, show
from bot.phrases import Verbatim, Words, words_for
from scheduling.plan import Plan

# What "pause" offers, in days from today; 0: until the carer says.
PAUSES = {
    1: "pause.tomorrow_button",
    3: "pause.three_days_button",
    7: "pause.week_button",
    0: "pause.open_button",
}


def reminder_text(
    library: Library,
    reminder: Reminder,
    plan: Plan,
    carer: Carer,
    *,
    hint: bool = False,
    easier: str | None = None,
) -> str:
    """Return the reminder's text. It may show on a locked screen: the nickname, and nothing of a diagnosis.

    hint: with the line that says how to answer. easier: the easier form that is offered, as it was hard twice running.
    """
    language = carer.language
    words = words_for(language)
    lines = [_title(library.name(reminder.activity, language), reminder, plan, words)]
    if reminder.activity in library:
        lines.append(
            library.cue(
                reminder.activity,
                language,
                reminder.id,
                nickname=plan.baby.nickname,
                affected_side=plan.baby.affected_side,
                side=reminder.side,
            )
        )
    if easier is not None:
        lines.append(words("remind.easier", activity=library.in_sentence(easier, language)))
    if plan.arm_hold is not None and plan.arm_hold.holds_on(reminder.local_date):
        lines.append(words("arm.reminder"))
    if hint:
        lines.append(words("remind.how_to_answer_times" if is_woven(reminder) else "remind.how_to_answer"))
    return "\n".join(lines)


def is_woven(reminder: Reminder) -> bool:
    """Say whether it asks for a movement within a care moment, counted by times: no minutes are named."""
    return bool(reminder.because and reminder.because.get("times"))


def _title(activity: str, reminder: Reminder, plan: Plan, words: Words) -> str:
    sided = {"side": words.plain(f"count.{reminder.side}")} if reminder.side else {}
    nickname = plan.baby.nickname
    if is_woven(reminder):
        moment = (reminder.because or {}).get("moment")
        now = words.plain(f"remind.at_{moment}" if moment else "remind.once_now")
        key = "remind.woven_sided" if sided else "remind.woven"
        return words(key, nickname=nickname, now=now, activity=activity, **sided)
    key = "remind.title_sided" if sided else "remind.title"
    return words(key, nickname=nickname, activity=activity, minutes=minutes_shown(reminder.minutes), **sided)


def reminder_buttons(reminder: Reminder, words: Words, easier: str | None = None) -> Buttons:
    minutes = minutes_shown(reminder.minutes)
    done = (
        words.plain("remind.woven_button")
        if is_woven(reminder)
        else words.plain("remind.done_button", minutes=minutes)
    )
    offered = (row(Button(words.plain("remind.easier_button"), verbs.HOW.data(easier))),) if easier else ()
    more = (
        Button(words.plain("remind.all_button"), verbs.ALL_TIMES.data(reminder.id))
        if is_woven(reminder)
        else Button(words.plain("remind.minutes_button"), verbs.MINUTES.data(reminder.id))
    )
    return (
        row(Button(done, verbs.DONE.data(reminder.id)), more),
        row(
            Button(words.plain("remind.later_button"), verbs.LATER.data(reminder.id)),
            Button(words.plain("remind.asleep_button"), verbs.ASLEEP.data(reminder.id)),
        ),
        row(
            Button(words.plain("remind.not_now_button"), verbs.NOT_NOW.data(reminder.id)),
            Button(words.plain("remind.show_button"), verbs.SHOW.data(reminder.id)),
        ),
        *offered,
    )


def pause_buttons(ctx: CarerContext, *, but: int | None = None, offered: bool = False) -> Buttons:
    """Return how long a pause may be. but: the length that is chosen already. offered: none may be wanted at all."""
    buttons = [
        Button(ctx.words.plain(key), verbs.PAUSE.data(days)) for days, key in PAUSES.items() if days != but
    ]
    if offered:
        buttons.append(Button(ctx.words.plain("pause.no_button"), verbs.PAUSE_NO.data()))
    return tuple(tuple(buttons[i : i + 2]) for i in range(0, len(buttons), 2))


@show.register
def _(content: ReminderShown, ctx: CarerContext) -> Shown:
    text = reminder_text(ctx.context.library, content.reminder, content.plan, ctx.carer)
    return text, reminder_buttons(content.reminder, ctx.words)


@show.register
def _(content: DoneBy, ctx: CarerContext) -> Shown:
    name = ctx.context.library.name(content.activity, ctx.carer.language)
    return ctx.words("remind.done_by", carer=content.carer, activity=name), ()


@show.register
def _(content: Asleep, ctx: CarerContext) -> Shown:
    text = ctx.words(
        "pause.asleep",
        safe=Verbatim(ctx.words("sleep.safe")),
        nickname=ctx.family.nickname,
        time=_clock(ctx, content.until),
    )
    return text, (row(Button(ctx.words.plain("pause.awake_button"), verbs.AWAKE.data())),)


@show.register
def _(content: Awake, ctx: CarerContext) -> Shown:
    return ctx.words("pause.awake", nickname=ctx.family.nickname), ()


@show.register
def _(content: HeldUntil, ctx: CarerContext) -> Shown:
    return ctx.words("pause.hold", time=_clock(ctx, content.until)), ()


@show.register
def _(content: BackAt, ctx: CarerContext) -> Shown:
    activity = ctx.activity_name(content.activity)
    if content.at is None:
        return ctx.words("pause.later_not_today", activity=activity), ()
    return ctx.words("pause.later", activity=activity, time=_clock(ctx, content.at)), ()


@show.register
def _(content: Unwell, ctx: CarerContext) -> Shown:
    """Wish the baby well without a word on how they are, and offer a pause."""
    numbers = ctx.numbers
    text = ctx.words(
        "pause.unwell",
        nickname=ctx.family.nickname,
        nurse_line=numbers.nurse_line,
        emergency_line=numbers.emergency_line,
    )
    return text, pause_buttons(ctx, offered=True)


@show.register
def _(content: Away, ctx: CarerContext) -> Shown:
    return ctx.words("pause.away"), pause_buttons(ctx, offered=True)


@show.register
def _(content: PauseOffer, ctx: CarerContext) -> Shown:
    if content.how_long:
        return ctx.words("pause.how_long"), pause_buttons(ctx)
    return ctx.words("pause.offer"), pause_buttons(ctx, offered=True)


@show.register
def _(content: NoPause, ctx: CarerContext) -> Shown:
    return ctx.words("pause.goes_on"), ()


@show.register
def _(content: Paused, ctx: CarerContext) -> Shown:
    resume = row(Button(ctx.words.plain("pause.resume_button"), verbs.RESUME.data()))
    buttons = (*pause_buttons(ctx, but=content.days), resume)
    nickname = ctx.family.nickname
    if content.until is None:
        return ctx.words("pause.paused_open", nickname=nickname), buttons
    day = day_shown(ctx.family.local(content.until).date(), ctx.words)
    if content.days is not None:
        return ctx.words("pause.paused_days", nickname=nickname, day=day), buttons
    return ctx.words("pause.paused", nickname=nickname, day=day, time=_clock(ctx, content.until)), buttons


@show.register
def _(content: Resumed, ctx: CarerContext) -> Shown:
    return ctx.words("pause.resumed", nickname=ctx.family.nickname), ()


def _clock(ctx: CarerContext, instant: datetime) -> str:
    return clock_shown(ctx.family, instant, ctx.words)
