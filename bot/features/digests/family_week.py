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
from bot.features.reminders.views import is_woven
from bot.features.schedule import content_views as _views  # noqa: F401 - registers how a stay is shown
from bot.features.schedule.contents import StayShown
from bot.features.show import show
from bot.phrases import Verbatim
from bot.phrases.because import because_in_words
from scheduling import history as planner
from scheduling.plan import Plan
from scheduling.progress import Progress, progress_of
from scheduling.reasons import Because


def today(ctx: CarerContext) -> None:
    """Say what was done so far, what is still to come and why, and what holds reminders back."""
    version = ctx.plan()
    reminders = [
        each
        for each in ctx.uow.reminders.on_day(ctx.family.id, ctx.today)
        if each.state == "planned" and each.due_at > ctx.now
    ]
    lines = [ctx.words("today.title", nickname=version.plan.baby.nickname), *_done_so_far(ctx, version.plan)]
    if ctx.family.home_zone is not None and ctx.family.away_until is not None:
        away, _ = show(StayShown(ctx.family.zone.key, ctx.family.away_until), ctx)
        lines.append(away)
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
    time = clock_shown(ctx.family, reminder.due_at, ctx.words)
    activity = ctx.activity_name(reminder.activity)
    if is_woven(reminder):
        line = ctx.words("today.line_woven", time=time, activity=activity)
    else:
        minutes = minutes_shown(reminder.minutes)
        line = ctx.words("today.line", time=time, activity=activity, minutes=minutes)
    if reminder.side:
        line = ctx.words("today.line_sided", line=Verbatim(line), side=ctx.side_name(reminder.side))
    if reminder.because:
        line += "\n" + ctx.words("today.why", why=because_in_words(Because(**reminder.because), ctx.words))
    return line


def _done_so_far(ctx: CarerContext, plan: Plan) -> list[str]:
    """Return what was done today, by activity, then how far each goal has come."""
    done = ctx.uow.entries.counted_between(ctx.family.id, ctx.today, ctx.today)
    log = [
        planner.LogEntry(each.activity, each.minutes, each.side, ctx.today, prompted=False)
        for each in done
        if each.activity is not None
    ]
    rows = progress_of(plan, ctx.today, log)
    times = {row.name: row for row in rows if row.times and not row.goal and row.done}
    minutes: dict[str, float] = {}
    for each in log:
        if each.minutes and each.activity not in times:
            minutes[each.activity] = minutes.get(each.activity, 0) + each.minutes
    told = [
        ctx.words.plain(
            "count.minutes_of", minutes=minutes_shown(total), activity=ctx.activity_name(activity)
        )
        for activity, total in minutes.items()
    ]
    told += [
        ctx.words.plain(
            "myday.times_of",
            done=minutes_shown(row.done),
            target=minutes_shown(row.target),
            activity=ctx.activity_name(name),
        )
        for name, row in times.items()
    ]
    lines = [ctx.words("myday.so_far", what="; ".join(told))] if told else []
    return lines + [_goal_line(ctx, row) for row in rows if row.goal]


def _goal_line(ctx: CarerContext, row: Progress) -> str:
    """Return "On the tummy: 62 of 90 min (firm surface 30, lap 22)"."""
    key = "myday.goal_times" if row.times else "myday.goal_minutes"
    line = ctx.words(key, goal=row.name, done=minutes_shown(row.done), target=minutes_shown(row.target))
    if not row.parts:
        return line
    parts = ", ".join(f"{ctx.activity_name(name)} {minutes_shown(done)}" for name, done in row.parts)
    return ctx.words("myday.goal_parts", line=Verbatim(line), parts=parts)


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
            row(Button(ctx.words.plain("stop.stay_button"), verbs.STAY.data())),
        ),
    )


def pressed_back_on(ctx: CarerContext) -> None:
    ctx.uow.carers.set_reminders(ctx.carer, True)
    ctx.note()
    ctx.answer(ctx.words("stop.on_again"))
