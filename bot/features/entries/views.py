"""Log entries in words: what was counted, what must be asked, and the buttons under it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.domain.entries import LogEntry
from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.entries import contents
from bot.features.entries.question_rules import first_to_ask
from bot.features.formats import minutes_shown
from bot.features.reminders.views import reminder_text
from bot.features.show import Shown, show
from bot.features.state import other_side
from bot.replies.reading import Observation, SkipReason

MOST_LABEL = 24
# What "not now" may have been for: one tap more, if the carer likes.
REASONS: tuple[SkipReason, ...] = ("no_time", "refused", "unwell")


def describe_one(ctx: CarerContext, entry: LogEntry, times: int = 1) -> str:
    """Return one entry in words: "12 min of tummy time, left side, yesterday" (plain text).

    times: how many alike there are, of what is counted by times and has no minutes.
    """
    words = ctx.words
    name = ctx.activity_name(entry.activity) if entry.activity else words.plain("count.something")
    if entry.minutes is None and entry.activity is not None:
        what = words.plain("count.times_of", n=times, activity=name)
    else:
        what = words.plain("count.minutes_of", minutes=minutes_shown(entry.minutes or 0), activity=name)
    if entry.side:
        what = words.plain("count.with_side", what=what, side=ctx.side_name(entry.side))
    days_ago = (ctx.today - entry.local_date).days
    if days_ago == 1:
        return words.plain("count.yesterday", what=what)
    if days_ago > 1:
        return words.plain("count.days_ago", what=what, n=days_ago)
    return what


def describe_all(ctx: CarerContext, entries: Sequence[LogEntry]) -> str:
    alike: dict[object, list[LogEntry]] = {}
    for entry in entries:
        key = (entry.activity, entry.side, entry.local_date) if entry.minutes is None else entry.id
        alike.setdefault(key, []).append(entry)
    return "; ".join(describe_one(ctx, same[0], len(same)) for same in alike.values())


def observed(ctx: CarerContext, seen: Sequence[Observation]) -> str:
    """Return what was seen in words, one after the other (plain text)."""
    found = []
    for observation in seen:
        what = ctx.words.plain(f"observed.{observation.kind}")
        side = ctx.side_name(observation.side)
        found.append(ctx.words.plain("observed.sided", what=what, side=side) if side else what)
    return ", ".join(found)


def _noted(ctx: CarerContext, seen: Sequence[Observation]) -> str:
    return " " + ctx.words("count.noted", what=observed(ctx, seen)) if seen else ""


def minute_buttons(data: Callable[[int], str], around: float | None) -> Buttons:
    """Return up to eight choices of minutes, those near `around` among them."""
    choices = sorted({2, 5, 10, 15, 20, 30, *([round(around)] if around and around >= 1 else [])})[:8]
    buttons = [Button(f"{minutes} min", data(minutes)) for minutes in choices]
    return tuple(tuple(buttons[i : i + 4]) for i in range(0, len(buttons), 4))


# ---------------------------------------------------------------- counted, asked, noted


@show.register
def _(content: contents.CountedLine, ctx: CarerContext) -> Shown:
    words = ctx.words
    text = words("count.counted", what=describe_all(ctx, content.entries))
    if content.total is not None:
        text += " " + words("count.today_total", minutes=minutes_shown(content.total))
    if content.times is not None:
        text += " " + words("count.today_times", n=content.times)
    text += _noted(ctx, content.seen)
    if content.rest_kept:
        text += "\n" + words(
            "count.rest_kept",
            therapist=ctx.therapist().name,
            emergency_line=ctx.numbers.emergency_line,
        )
    if not content.buttons:
        return text, ()
    first = content.entries[0].id
    undo = Button(words.plain("count.undo_button"), verbs.UNDO.data(first))
    return text, (row(undo, Button(words.plain("count.change_button"), verbs.CHANGE.data(first))),)


@show.register
def _(content: contents.Question, ctx: CarerContext) -> Shown:
    text, buttons = _question(content.waiting, ctx)
    if content.again:
        minutes = sum(each.minutes or 0.0 for each in content.again)
        counted = (
            ctx.words("count.already_counted_minutes", minutes=minutes_shown(minutes))
            if minutes
            else ctx.words("count.times_so_far", what=describe_all(ctx, content.again))
        )
        text = f"{counted} {ctx.words('change.once_more')}"
    return text + _noted(ctx, content.seen), buttons


@show.register
def _(content: contents.PartlyCounted, ctx: CarerContext) -> Shown:
    counted, undo = show(content.counted, ctx)
    question, buttons = show(content.question, ctx)
    return f"{counted}\n{question}", (*buttons, *undo)


@show.register
def _(content: contents.YesToWhich, ctx: CarerContext) -> Shown:
    waiting, reminder = content.waiting, content.reminder
    earlier = _short(ctx, waiting.minutes or 0, waiting.activity)
    newer = _short(ctx, reminder.minutes, reminder.activity)
    buttons = (
        row(Button(earlier, verbs.COUNT.data(waiting.id))),
        row(Button(newer, verbs.DONE.data(reminder.id))),
    )
    return ctx.words("count.yes_to_which"), (*buttons, _no(ctx, waiting))


def _short(ctx: CarerContext, minutes: float, activity: str | None) -> str:
    name = "" if activity is None else " · " + ctx.context.library.name(activity, ctx.carer.language)
    return f"{minutes_shown(minutes)} min{name}"[:MOST_LABEL]


def _question(waiting: Sequence[LogEntry], ctx: CarerContext) -> Shown:
    first, words = first_to_ask(waiting), ctx.words
    if first.activity is None:
        text = (
            words("count.which_one")
            if first.minutes is None
            else words("count.which_activity", minutes=minutes_shown(first.minutes))
        )
        return text, _activity_buttons(ctx, first)
    if not first.minutes and ctx.plan().plan.times_of(first.activity) is not None:
        text, buttons = show(contents.HowManyTimes(first), ctx)
        return text, (*buttons[:-1], _no(ctx, first))
    if not first.minutes:
        text = words("count.how_many", activity=ctx.activity_name(first.activity))
        return text, (
            *minute_buttons(lambda minutes: verbs.SET.data(first.id, minutes), None),
            _no(ctx, first),
        )
    yes = Button(words.plain("count.yes_button"), verbs.COUNT.data(first.id))
    change = Button(words.plain("count.change_button"), verbs.CHANGE.data(first.id))
    text = words("count.shall_i", what=describe_all(ctx, waiting))
    return text, (row(yes, change, *_no(ctx, first)),)


def _no(ctx: CarerContext, entry: LogEntry) -> tuple[Button, ...]:
    return row(Button(ctx.words.plain("count.no_button"), verbs.DROP.data(entry.id)))


def _activity_buttons(ctx: CarerContext, entry: LogEntry) -> Buttons:
    library = ctx.context.library
    buttons = [
        Button(
            library.name(each.activity, ctx.carer.language)[:MOST_LABEL],
            verbs.WHICH.data(entry.id, each.activity),
        )
        for each in ctx.plan().plan.activities
        if each.activity in library
    ]
    rows = [row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2)]
    return (*rows, _no(ctx, entry))


@show.register
def _(content: contents.Noted, ctx: CarerContext) -> Shown:
    return ctx.words("count.noted", what=observed(ctx, content.seen)), ()


@show.register
def _(content: contents.FirstTime, ctx: CarerContext) -> Shown:
    what = ", ".join(ctx.words.plain(f"observed.{kind}") for kind in content.kinds)
    return ctx.words("count.first_time", what=what, nickname=ctx.family.nickname), ()


@show.register
def _(content: contents.WithSeen, ctx: CarerContext) -> Shown:
    text, buttons = show(content.content, ctx)
    return text + _noted(ctx, content.seen), buttons


@show.register
def _(content: contents.Undone, ctx: CarerContext) -> Shown:
    text = ctx.words("count.undone", what=describe_all(ctx, content.entries))
    if not content.redo:
        return text, ()
    return text, (row(Button(ctx.words.plain("count.redo_button"), verbs.REDO.data(content.entries[0].id))),)


@show.register
def _(content: contents.NothingTo, ctx: CarerContext) -> Shown:
    return ctx.words("count.nothing_to_undo" if content.undo else "count.nothing_to_correct"), ()


@show.register
def _(content: contents.NotCounted, ctx: CarerContext) -> Shown:
    return ctx.words("count.not_counted"), ()


# ---------------------------------------------------------------- let go


@show.register
def _(content: contents.NotNow, ctx: CarerContext) -> Shown:
    if content.activity is None:
        return ctx.words("remind.no_trouble"), ()
    return ctx.words("remind.not_now", activity=ctx.activity_name(content.activity)), ()


@show.register
def _(content: contents.NotNowReasons, ctx: CarerContext) -> Shown:
    """Let it go, and offer the reason as one tap that nobody has to make."""
    reminder, words = content.reminder, ctx.words
    text = words("remind.not_now", activity=ctx.activity_name(reminder.activity))
    reasons = [
        Button(words.plain(f"reasons.{reason}"), verbs.WHY.data(reminder.id, reason)) for reason in REASONS
    ]
    return f"{text} {words('reasons.may_say')}", (row(*reasons),)


@show.register
def _(content: contents.ReasonNoted, ctx: CarerContext) -> Shown:
    return ctx.words("reasons.noted", reason=ctx.words.plain(f"reasons.{content.reason}").lower()), ()


# ---------------------------------------------------------------- change


@show.register
def _(content: contents.OtherMinutes, ctx: CarerContext) -> Shown:
    reminder = content.reminder
    back = row(Button(ctx.words.plain("remind.back_button"), verbs.BACK.data(reminder.id)))
    text = reminder_text(ctx.context.library, reminder, content.plan, ctx.carer)
    return text, (
        *minute_buttons(lambda minutes: verbs.DID.data(reminder.id, minutes), reminder.minutes),
        back,
    )


@show.register
def _(content: contents.ChangeWhich, ctx: CarerContext) -> Shown:
    # Of what is counted by times, one stands for all of its day.
    entries = tuple({_one_choice(each): each for each in content.entries}.values())
    rows = [row(Button(_label(ctx, each, entries), verbs.CHANGE_ONE.data(each.id))) for each in entries]
    return ctx.words("change.which"), (*rows, leave_it(ctx, entries[0]))


def _one_choice(entry: LogEntry) -> object:
    return (entry.activity, entry.local_date) if entry.minutes is None else entry.id


def _label(ctx: CarerContext, entry: LogEntry, among: Sequence[LogEntry]) -> str:
    """Name an entry by what tells it from the others: its activity, its side, or both."""
    parts = [f"{minutes_shown(entry.minutes)} min"] if entry.minutes else []
    alike = [each for each in among if each.activity == entry.activity]
    if entry.side is not None and len(alike) > 1:
        parts.append(ctx.side_name(entry.side))
    if entry.activity is not None and len(alike) < len(among):
        parts.append(ctx.context.library.name(entry.activity, ctx.carer.language))
    return " · ".join(parts)[:MOST_LABEL]


@show.register
def _(content: contents.ChangeMinutes, ctx: CarerContext) -> Shown:
    entry, words = content.entry, ctx.words
    name = ctx.activity_name(entry.activity) if entry.activity else words.plain("count.something")
    buttons: Buttons = minute_buttons(lambda minutes: verbs.SET.data(entry.id, minutes), entry.minutes)
    if entry.side is not None:
        other = other_side(entry.side)
        label = words.plain("change.side_button", side=ctx.side_name(other))
        buttons = (*buttons, row(Button(label, verbs.SIDE.data(entry.id, other))))
    return words("count.how_many", activity=name), (*buttons, leave_it(ctx, entry))


def leave_it(ctx: CarerContext, entry: LogEntry) -> tuple[Button, ...]:
    return row(Button(ctx.words.plain("change.keep_button"), verbs.KEEP.data(entry.id)))


# ---------------------------------------------------------------- twins


# ---------------------------------------------------------------- passing notes


# ---------------------------------------------------------------- how sure
