"""How twins' questions, passing notes and questions of confidence are worded."""

from __future__ import annotations

from bot.domain.outgoing import Button, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.entries import contents
from bot.features.entries.confidence_rules import SURE, UNSURE, HowSure, NoNeedToTell, Rated, TellHow
from bot.features.entries.views import describe_one
from bot.features.formats import minutes_shown
from bot.features.show import Shown, show


@show.register
def _(content: contents.TwinQuestion, ctx: CarerContext) -> Shown:
    words = ctx.words
    text = words("count.twin_question", carer=content.carer, what=describe_one(ctx, content.other))
    one = Button(words.plain("count.twin_one"), verbs.ONE.data(content.entry.id))
    return text, (row(one, Button(words.plain("count.twin_two"), verbs.TWO.data(content.entry.id))),)


@show.register
def _(content: contents.TwinsWere, ctx: CarerContext) -> Shown:
    return ctx.words("count.twin_was_one" if content.one else "count.twin_were_two"), ()


@show.register
def _(content: contents.AlreadyCounted, ctx: CarerContext) -> Shown:
    if content.minutes is None:
        return ctx.words("count.already_counted"), ()
    return ctx.words("count.already_counted_minutes", minutes=minutes_shown(content.minutes)), ()


@show.register
def _(content: contents.AlreadyUndone, ctx: CarerContext) -> Shown:
    return ctx.words("count.already_undone"), ()


@show.register
def _(content: contents.ReminderClosed, ctx: CarerContext) -> Shown:
    return ctx.words("remind.closed"), ()


@show.register
def _(content: contents.OldButton, ctx: CarerContext) -> Shown:
    return ctx.words("edge.old_button"), ()


@show.register
def _(content: contents.CountedNote, ctx: CarerContext) -> Shown:
    return ctx.words("count.counted_note"), ()


@show.register
def _(content: contents.UndoneNote, ctx: CarerContext) -> Shown:
    return ctx.words("count.undone_note"), ()


@show.register
def _(content: contents.ChangedNote, ctx: CarerContext) -> Shown:
    return ctx.words("change.changed_note"), ()


@show.register
def _(content: HowSure, ctx: CarerContext) -> Shown:
    buttons = [Button(str(value), verbs.SURE.data(content.question_id, value)) for value in range(11)]
    text = ctx.words("confidence.how_sure", activity=ctx.activity_name(content.activity))
    return text, (tuple(buttons[:6]), tuple(buttons[6:]))


@show.register
def _(content: TellHow, ctx: CarerContext) -> Shown:
    words = ctx.words
    name = ctx.activity_name(content.activity)
    text = words("confidence.tell_how", activity=name, therapist=ctx.therapist().name)
    not_now = Button(words.plain("confidence.not_now_button"), verbs.NOT_TELL.data(content.question_id))
    return text, (row(not_now),)


@show.register
def _(content: NoNeedToTell, ctx: CarerContext) -> Shown:
    return ctx.words("confidence.no_need"), ()


@show.register
def _(content: Rated, ctx: CarerContext) -> Shown:
    """The therapist sees every rating in the digest, a low one at once."""
    words = ctx.words
    if content.value >= SURE:
        return words("confidence.sure", value=content.value), ()
    show_it = Button(words.plain("confidence.show_button"), verbs.HOW.data(content.activity))
    ask = Button(words.plain("confidence.ask_button"), verbs.ASK.data(content.activity))
    key = "confidence.not_so_sure" if content.value >= UNSURE else "confidence.unsure"
    return words(key, value=content.value, therapist=ctx.therapist().name), (row(show_it, ask),)
