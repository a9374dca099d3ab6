"""How often in words: what is counted by times, and the question how often it was."""

from __future__ import annotations

from dataclasses import replace

from bot.domain.outgoing import Button, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.entries.contents import HowManyTimes, TimesSoFar
from bot.features.entries.views import describe_one, leave_it
from bot.features.show import Shown, show

LEAST_CHOICES, MOST_CHOICES, A_ROW = 6, 12, 6


@show.register
def _(content: TimesSoFar, ctx: CarerContext) -> Shown:
    words, entry = ctx.words, content.entry
    text = words("count.times_so_far", what=describe_one(ctx, replace(entry, side=None), content.times))
    if content.said is None:
        return text, (row(Button(words.plain("count.change_button"), verbs.CHANGE.data(entry.id))),)
    fewer = Button(
        words.plain("count.make_it_button", n=content.said), verbs.TIMES.data(entry.id, content.said)
    )
    keep = Button(words.plain("count.leave_it_button", n=content.times), verbs.KEEP.data(entry.id))
    return text, (row(fewer, keep),)


@show.register
def _(content: HowManyTimes, ctx: CarerContext) -> Shown:
    entry = content.entry
    assert entry.activity is not None
    key = "count.how_many_times" if entry.local_date == ctx.today else "count.how_many_times_then"
    asked = ctx.plan().plan.times_of(entry.activity) or 0
    most = min(max(LEAST_CHOICES, asked + 1), MOST_CHOICES)
    buttons = [Button(str(n), verbs.TIMES.data(entry.id, n)) for n in range(1, most + 1)]
    rows = tuple(tuple(buttons[i : i + A_ROW]) for i in range(0, len(buttons), A_ROW))
    return ctx.words(key, activity=ctx.activity_name(entry.activity)), (*rows, leave_it(ctx, entry))
