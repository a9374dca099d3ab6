"""What a family may look at: today, their week, help, and the way out."""

from __future__ import annotations

from bot.domain.outgoing import Button, row
from bot.domain.reminders import Reminder
from bot.domain.rendering import WeekRequest
from bot.domain.roles import is_day_care
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import clock_shown, day_shown, minutes_shown
from bot.features.reminders import frequency
from bot.features.reminders.hold_views import arm_rests
from bot.features.reminders.hours import hours_shown
from bot.phrases import Verbatim
from bot.phrases.because import because_in_words
from scheduling.reasons import Because


def today(ctx: CarerContext) -> None:
    """Say what was done so far, what is still to come and why, and what holds reminders back."""
    version = ctx.plan()
    reminders = [
        each
        for each in ctx.uow.reminders.on_day(ctx.family.id, ctx.today)
        if each.state == "planned" and each.due_at > ctx.now
    ]
    lines = [ctx.words("today.title", nickname=version.plan.baby.nickname), *_done_so_far(ctx)]
    hours = hours_shown(ctx.family.reminder_hours, ctx.words)
    if hours is not None:
        lines.append(ctx.words("hours.today", hours=Verbatim(hours)))
    rests = arm_rests(ctx)
    if rests is not None:
        lines.append(rests)
    held = _held_back(ctx)
    if held:
        lines.append(held)
    elif not reminders:
        lines.append(ctx.words("today.nothing"))
    lines += [_line(ctx, each) for each in reminders]
    ctx.answer("\n".join(lines))


def _line(ctx: CarerContext, reminder: Reminder) -> str:
    line = ctx.words(
        "today.line",
        time=clock_shown(ctx.family, reminder.due_at, ctx.words),
        activity=ctx.activity_name(reminder.activity),
        minutes=minutes_shown(reminder.minutes),
    )
    if reminder.side:
        line = ctx.words("today.line_sided", line=Verbatim(line), side=ctx.side_name(reminder.side))
    if reminder.because:
        line += "\n" + ctx.words("today.why", why=because_in_words(Because(**reminder.because), ctx.words))
    return line


def _done_so_far(ctx: CarerContext) -> list[str]:
    minutes: dict[str, float] = {}
    for session in ctx.uow.entries.counted_between(ctx.family.id, ctx.today, ctx.today):
        if session.activity is not None and session.minutes:
            minutes[session.activity] = minutes.get(session.activity, 0) + session.minutes
    done = [
        ctx.words.plain(
            "count.minutes_of", minutes=minutes_shown(total), activity=ctx.activity_name(activity)
        )
        for activity, total in minutes.items()
    ]
    return [ctx.words("myday.so_far", what="; ".join(done))] if done else []


def _held_back(ctx: CarerContext) -> str | None:
    """Say what keeps reminders back now, and until when; None where nothing does."""
    family, words = ctx.family, ctx.words
    if family.state == "paused":
        if family.paused_until is None:
            return words("myday.paused_open")
        return words("myday.paused", day=day_shown(family.local(family.paused_until).date(), words))
    if family.asleep_until is not None and family.asleep_until > ctx.now:
        time = clock_shown(family, family.asleep_until, words)
        return words("myday.asleep", nickname=family.nickname, time=time)
    return None


def week(ctx: CarerContext) -> None:
    """Show the last seven days in a picture, without scores or blame. It is the family's own, not day care's."""
    if is_day_care(ctx.carer):
        ctx.answer(ctx.words("rights.week_is_the_familys"))
        return
    ctx.answer(
        ctx.words("week.caption", nickname=ctx.family.nickname),
        render=WeekRequest(family=ctx.family.id, language=ctx.carer.language, at=ctx.now),
    )


def help_shown(ctx: CarerContext) -> None:
    therapist = ctx.therapist()
    ctx.answer(
        ctx.words(
            "help.carer",
            therapist=therapist.name,
            nickname=ctx.family.nickname,
            emergency_line=ctx.numbers.emergency_line,
            nurse_line=ctx.numbers.nurse_line,
        ),
        buttons=frequency.load_buttons(ctx),
    )


def stop_offered(ctx: CarerContext) -> None:
    """Reminders stop at once; leaving altogether is one more tap."""
    ctx.uow.carers.set_reminders(ctx.carer, False)
    ctx.answer(
        ctx.words("stop.reminders_off"),
        buttons=(
            row(
                Button(ctx.words.plain("stop.on_again_button"), verbs.REMINDERS_BACK.data()),
                Button(ctx.words.plain("stop.leave_button"), verbs.LEAVE.data()),
            ),
        ),
    )


def pressed_back_on(ctx: CarerContext) -> None:
    ctx.uow.carers.set_reminders(ctx.carer, True)
    ctx.note()
    ctx.answer(ctx.words("stop.on_again"))
