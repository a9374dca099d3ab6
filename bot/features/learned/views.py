"""What is said about a day that may have changed, in words."""

from __future__ import annotations

from bot.domain.outgoing import Button, Buttons, row
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.learned.contents import DayLeft, DayMovedOn, DayQuestion, TimesKept, TimesLearned
from bot.features.show import Shown, show
from bot.phrases import Words
from bot.phrases.learned import evidence_in_words, question_in_words


def question(content: DayQuestion, nickname: str, words: Words) -> Shown:
    """Return the question, what was heard before it, and its buttons."""
    found = content.asked.suggestion
    text = words(
        "learned.ask",
        nickname=nickname,
        heard=evidence_in_words(found, words),
        question=question_in_words(found, words),
    )
    buttons = row(
        *(
            Button(words.plain(f"learned.{answer}_button"), verbs.LEARNED.data(content.asked.id, answer))
            for answer in ("yes", "no", "other")
        )
    )
    return text, (buttons,)


@show.register
def _(content: DayQuestion, ctx: CarerContext) -> Shown:
    return question(content, ctx.family.nickname, ctx.words)


@show.register
def _(content: DayLeft, ctx: CarerContext) -> Shown:
    return ctx.words("learned.left"), _button("keep", ctx.words)


@show.register
def _(content: DayMovedOn, ctx: CarerContext) -> Shown:
    return ctx.words("learned.moved_on"), ()


@show.register
def _(content: TimesKept, ctx: CarerContext) -> Shown:
    return ctx.words("learned.times_kept"), _button("learn", ctx.words)


@show.register
def _(content: TimesLearned, ctx: CarerContext) -> Shown:
    return ctx.words("learned.times_learned"), _button("keep", ctx.words)


def _button(which: str, words: Words) -> Buttons:
    return (row(Button(words.plain(f"learned.{which}_button"), verbs.MY_TIMES.data(which))),)
