"""What a carer asks of the bot itself, answered: who reads this, the next visit, yesterday, why a reminder comes or not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Literal

from bot.activities.arm import loading_the_arm
from bot.domain.entries import LogEntry
from bot.domain.ids import MessageId
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.reminders import Reminder
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.digests import family_week
from bot.features.formats import clock_shown, minutes_shown, when_shown
from bot.features.privacy import rights
from bot.features.refreshers import refresher
from bot.features.reminders.hold_views import arm_rests
from bot.features.reminders.holds import held_now
from bot.features.state import load_state
from bot.features.threads import questions
from bot.parsing.asides import Aside
from bot.parsing.word_lists import words_in
from bot.phrases import Verbatim
from bot.phrases.because import because_in_words, why_in_words
from scheduling.hours import within
from scheduling.planner import Target, plan_day
from scheduling.reasons import Because


def answer(
    ctx: CarerContext,
    message_id: MessageId,
    aside: Aside,
    reminder: Reminder | None,
    named: str | None = None,
) -> None:
    """Answer an aside. reminder: the one that is open or quoted. named: the activity of the plan that it names."""
    if aside == "visit":
        _visit(ctx, message_id)
    elif aside == "why_now":
        _why_now(ctx, reminder)
    elif aside == "watched":
        ctx.answer(_words(ctx, "watched"))
        questions.forward(ctx, message_id, "question", reminder.activity if reminder else None)
    elif aside == "unsure":
        _unsure(ctx, reminder)
    elif aside == "hands" or aside == "side":
        _part(ctx, reminder, aside, named)
    else:
        _PLAIN[aside](ctx)


def _words(ctx: CarerContext, name: str, **values: object) -> str:
    """Return a phrase of asides.toml with the clinic's names filled in."""
    return ctx.words(
        f"asides.{name}",
        therapist=ctx.therapist().name,
        nickname=ctx.family.nickname,
        emergency_line=ctx.numbers.emergency_line,
        **values,
    )


def _who(ctx: CarerContext) -> None:
    ctx.answer(_words(ctx, "who"))


def _yesterday(ctx: CarerContext) -> None:
    """What was told for yesterday, entry by entry."""
    day = ctx.today - timedelta(days=1)
    told = ctx.uow.entries.counted_between(ctx.family.id, day, day)
    if not told:
        ctx.answer(_words(ctx, "yesterday_nothing"))
        return
    times = Counter(each.activity for each in told if each.minutes is None and each.activity)
    lines = [_entry(ctx, each) for each in told if each.minutes is not None]
    lines += [
        ctx.words("asides.yesterday_times", activity=ctx.activity_name(each), n=n)
        for each, n in times.items()
    ]
    ctx.answer("\n".join([_words(ctx, "yesterday"), *lines]))


def _entry(ctx: CarerContext, entry: LogEntry) -> str:
    line = ctx.words(
        "asides.yesterday_line",
        activity=ctx.activity_name(entry.activity) if entry.activity else "",
        minutes=minutes_shown(entry.minutes or 0),
    )
    if entry.side is None:
        return line
    return ctx.words("asides.yesterday_sided", line=Verbatim(line), side=ctx.side_name(entry.side))


def _self_ill(ctx: CarerContext) -> None:
    """The carer's own illness is theirs, and nothing of the baby's: a pause is offered."""
    ctx.answer(_words(ctx, "self_ill"), buttons=_pause_or_not(ctx))


def _hard_day(ctx: CarerContext) -> None:
    """ "I hate this" is about the carer's day, and nothing of the baby's; who to call stands in it."""
    ctx.answer(_words(ctx, "hard_day", nurse_line=ctx.numbers.nurse_line), buttons=_pause_or_not(ctx))


def _no_nap(ctx: CarerContext) -> None:
    """A nap that fell out is no nap that begins, and no change of the day: the tired family may have fewer reminders."""
    ctx.answer(_words(ctx, "no_nap"), buttons=_pause_or_not(ctx))


def _pause_or_not(ctx: CarerContext) -> Buttons:
    pause = Button(ctx.words.plain("load.pause_button"), verbs.PAUSE.data(None))
    no = Button(ctx.words.plain("pause.no_button"), verbs.PAUSE_NO.data())
    return (row(pause, no),)


_PLAIN: dict[Aside, Callable[[CarerContext], None]] = {
    "who": _who,
    "yesterday": _yesterday,
    "my_part": family_week.today,
    "leave": rights.leave_asked,
    "self_ill": _self_ill,
    "hard_day": _hard_day,
    "no_nap": _no_nap,
}


def _visit(ctx: CarerContext, message_id: MessageId) -> None:
    coming = ctx.uow.visits.of_family(ctx.family.id, since=ctx.now)
    if coming:
        ctx.answer(_words(ctx, "visit", when=when_shown(coming[0].at, ctx.family, ctx.words)))
        return
    ctx.answer(_words(ctx, "no_visit"))
    questions.forward(ctx, message_id, "question", None)


def _why_now(ctx: CarerContext, reminder: Reminder | None) -> None:
    """The planner's own numbers for the reminder at hand."""
    reminder = reminder or load_state(ctx).last_sent()
    if reminder is None or reminder.because is None or reminder.local_date != ctx.today:
        ctx.answer(_words(ctx, "why_no_reminder"))
        return
    why = because_in_words(Because(**reminder.because), ctx.words)
    ctx.answer(_coming(ctx, "why_now", reminder, why))


def _coming(ctx: CarerContext, name: str, reminder: Reminder, why: str) -> str:
    activity = ctx.context.library.name(reminder.activity, ctx.carer.language)
    time = clock_shown(ctx.family, reminder.sent_at or reminder.due_at, ctx.words)
    return _words(ctx, name, activity=activity, time=time, why=why)


def _unsure(ctx: CarerContext, reminder: Reminder | None) -> None:
    """ "Not sure I am doing it right": the card, and the offer to look at a clip."""
    activity = reminder.activity if reminder else _last_tried(ctx)
    if activity is None:
        refresher.choose(ctx)
        return
    refresher.show(ctx, activity, reminder.side if reminder else None)
    ask = Button(ctx.words.plain("refresh.ask_button"), verbs.ASK.data(activity))
    ctx.answer(_words(ctx, "unsure"), buttons=(row(ask),))


def _part(
    ctx: CarerContext, reminder: Reminder | None, part: Literal["hands", "side"], named: str | None
) -> None:
    """Just the part that is asked for: of the activity named, of the reminder at hand, of the card shown or the hold done last."""
    activity = named or (reminder.activity if reminder else _shown_last(ctx) or _last_tried(ctx))
    if activity is None:
        refresher.choose(ctx)
    else:
        of_reminder = reminder is not None and reminder.activity == activity
        refresher.show_part(ctx, activity, reminder.side if reminder and of_reminder else None, part)


def _shown_last(ctx: CarerContext) -> str | None:
    state = load_state(ctx)
    shown = [(at, each.activity) for each in state.plan.activities if (at := state.card_shown(each.activity))]
    return max(shown)[1] if shown else None


def loosely_named(ctx: CarerContext, words: tuple[str, ...]) -> str | None:
    """Return the one activity whose name holds all of some words, of the plan if there it is; None for none or several."""
    library = ctx.context.library
    named = [
        each
        for each in library
        if words and set(words) <= set(words_in(library.name(each, ctx.carer.language)))
    ]
    planned = [each for each in named if ctx.plan().plan.activity(each) is not None]
    found = planned or named
    return found[0] if len(found) == 1 else None


def show_named(ctx: CarerContext, message_id: MessageId, activity: str) -> None:
    """Show the card of what was named in passing; what is not in the plan goes to the therapist instead."""
    if ctx.plan().plan.activity(activity) is not None:
        refresher.show(ctx, activity, None)
        return
    name = ctx.context.library.name(activity, ctx.carer.language)
    ctx.answer(_words(ctx, "why_not_planned", activity=name))
    questions.forward(ctx, message_id, "question", activity)


def _last_tried(ctx: CarerContext) -> str | None:
    tried = [each.activity for each in load_state(ctx).last_counted() if each.activity is not None]
    return tried[-1] if tried else None


# ---------------------------------------------------------------- why something does not come


def why_not(ctx: CarerContext, message_id: MessageId, activity: str) -> None:
    """Why an activity does not come today, or when it does: the planner's reason."""
    name = ctx.context.library.name(activity, ctx.carer.language)
    plan = ctx.plan().plan
    planned = plan.activity(activity)
    if planned is None:
        ctx.answer(_words(ctx, "why_not_planned", activity=name))
        questions.forward(ctx, message_id, "question", activity)
        return
    if planned.held_on(ctx.today) or activity in held_now(ctx.context, ctx.family, plan):
        rests = arm_rests(ctx) if activity in loading_the_arm(plan, ctx.context.library) else None
        ctx.answer("\n".join([_words(ctx, "why_held", activity=name), *([rests] if rests else [])]))
        return
    coming = next(
        (
            each
            for each in ctx.uow.reminders.on_day(ctx.family.id, ctx.today)
            if each.activity == activity and each.state == "planned" and each.due_at > ctx.now
        ),
        None,
    )
    if coming is not None and coming.because is not None:
        why = because_in_words(Because(**coming.because), ctx.words)
        ctx.answer(_coming(ctx, "why_comes", coming, why))
        return
    ctx.answer(_short(ctx, activity, name))


def _short(ctx: CarerContext, activity: str, name: str) -> str:
    target = _target_today(ctx, activity)
    if target is None or target.why is None:
        minutes = minutes_shown(target.logged if target else 0)
        return _words(ctx, "why_done", activity=name, minutes=minutes)
    return _words(ctx, "why_short", activity=name, why=why_in_words(target.why, ctx.words))


def _target_today(ctx: CarerContext, activity: str) -> Target | None:
    plan = within(ctx.plan().plan, ctx.family.reminder_hours, ctx.today)
    if plan is None:
        return None
    log = ctx.uow.reminders.planner_log(ctx.family, until=ctx.today)
    day = plan_day(plan, ctx.today, log, start_from=ctx.family.local(ctx.now), budget=ctx.family.budget)
    return next((each for each in day.targets if each.name == activity), None)
