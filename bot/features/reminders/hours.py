"""When reminders may come, as a family asks: "no messages before 8", "not on Sundays". scheduling/hours.py narrows the day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from babel.dates import get_day_names

from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import minute_shown
from bot.parsing.reminder_hours import EVERY_DAY, MORNING_ENDS, WEEKEND, HoursWish
from bot.phrases import Verbatim, Words
from scheduling.hours import ALL_DAY, ALWAYS, Hours, Span, met


def asked(ctx: CarerContext, wish: HoursWish | Literal["any"]) -> None:
    """Keep what a carer asks, from the next reminder on, and say in one line what holds now."""
    hours = ALWAYS if wish == "any" else met(ctx.family.reminder_hours, wish.spans, wish.days)
    if all(not spans for spans in hours):
        ctx.answer(ctx.words("hours.never"), buttons=_pause(ctx))
        return
    _keep(ctx, hours)


def ask_weekends(ctx: CarerContext) -> None:
    """ "Less on weekends": a tap says how much less."""
    mornings = Button(ctx.words.plain("hours.weekend_mornings_button"), verbs.WEEKENDS.data("mornings"))
    none = Button(ctx.words.plain("hours.weekend_none_button"), verbs.WEEKENDS.data("none"))
    ctx.answer(ctx.words("hours.weekend_which"), buttons=(row(mornings, none),))


def pressed_weekends(ctx: CarerContext, which: Literal["mornings", "none"]) -> None:
    ctx.note()
    spans = ((0, MORNING_ENDS),) if which == "mornings" else ()
    asked(ctx, HoursWish(spans, WEEKEND))


def pressed_any(ctx: CarerContext) -> None:
    ctx.note()
    _keep(ctx, ALWAYS)


def _keep(ctx: CarerContext, hours: Hours) -> None:
    ctx.uow.families.keep_reminder_hours(ctx.family.id, hours, ctx.now)
    shown = hours_shown(hours, ctx.words)
    if shown is None:
        ctx.answer(ctx.words("hours.any"))
        return
    back = Button(ctx.words.plain("hours.any_button"), verbs.HOURS_ANY.data())
    ctx.answer(ctx.words("hours.now", hours=Verbatim(shown)), buttons=(row(back),))


def _pause(ctx: CarerContext) -> Buttons:
    no = Button(ctx.words.plain("pause.no_button"), verbs.PAUSE_NO.data())
    return (row(Button(ctx.words.plain("load.pause_button"), verbs.PAUSE.data(None)), no),)


def hours_shown(hours: Hours, words: Words) -> str | None:
    """Return when reminders may come on the days that are not open all day, alike days together; None where all are."""
    if hours == ALWAYS:
        return None
    groups: dict[tuple[Span, ...], list[int]] = {}
    for day, spans in enumerate(hours):
        groups.setdefault(spans, []).append(day)
    if len(groups) == 1:
        return _spans(hours[0], words)
    parts = [
        words.plain("hours.on_days", days=_days(days, words), times=_spans(spans, words))
        for spans, days in groups.items()
        if spans != ALL_DAY
    ]
    return "; ".join(parts)


def _spans(spans: Sequence[Span], words: Words) -> str:
    if not spans:
        return words.plain("hours.none")
    return ", ".join(_span(span, words) for span in spans)


def _span(span: Span, words: Words) -> str:
    start, end = (minute_shown(at, words) for at in span)
    if span[0] == ALL_DAY[0][0]:
        return words.plain("hours.until", time=end)
    if span[1] == ALL_DAY[0][1]:
        return words.plain("hours.from", time=start)
    return words.plain("hours.between", start=start, end=end)


def _days(days: Sequence[int], words: Words) -> str:
    if EVERY_DAY - {5, 6} == frozenset(days):
        return words.plain("hours.weekdays")
    if frozenset(days) == {5, 6}:
        return words.plain("hours.weekend")
    names = get_day_names("wide", locale=words.locale)
    if len(days) > 2 and list(days) == list(range(days[0], days[-1] + 1)):
        return words.plain("hours.days_from_to", first=names[days[0]], last=names[days[-1]])
    return ", ".join(str(names[day]) for day in days)
