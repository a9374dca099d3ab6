"""A hold explained again, in words and buttons: a card for this baby's side, and what the therapist said of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from bot.activities.card import part_card, refresher_card, short_card
from bot.activities.library import Library
from bot.domain.media import HoldNote
from bot.domain.outgoing import Button, row
from bot.domain.people import Family
from bot.features import verbs
from bot.features.context import CarerContext
from bot.features.formats import date_shown, day_shown
from bot.features.refreshers.contents import Card, NotExplained, Part, TherapistsOwn, WhichHold
from bot.features.show import Shown, show
from bot.phrases import Words
from scheduling.plan import Plan

CARDS: Mapping[Part, Callable[..., str]] = {
    "short": short_card,
    "whole": refresher_card,
    "hands": partial(part_card, part="hands"),
    "side": partial(part_card, part="side"),
}


@show.register
def _(content: NotExplained, ctx: CarerContext) -> Shown:
    words, therapist = ctx.words, ctx.therapist().name
    buttons = (row(_ask(words, content.activity)),) if content.may_ask else ()
    if content.why == "unknown":
        return words("howto.unknown"), buttons
    name = ctx.context.library.name(content.activity, words.language)
    match content.why:
        case "held":
            return words("arm.card_refused", activity=name, therapist=therapist), buttons
        case "rests_until" if content.until is not None:
            return words("howto.rests_until", activity=name, day=day_shown(content.until, words)), buttons
        case "not_in_plan":
            nickname = ctx.family.nickname
            return words("howto.not_in_plan", activity=name, nickname=nickname, therapist=therapist), buttons
        case "taught_first":
            return words("howto.taught_first", activity=name, therapist=therapist), buttons
        case _:
            return words("howto.rests", activity=name), buttons


@show.register
def _(content: TherapistsOwn, ctx: CarerContext) -> Shown:
    caption = content.material.caption or ctx.activity_name(content.material.activity)
    return ctx.words("refresh.from_therapist", caption=caption), ()


@show.register
def _(content: WhichHold, ctx: CarerContext) -> Shown:
    names = [
        Button(ctx.context.library.name(each, ctx.carer.language), verbs.HOW.data(each))
        for each in content.activities
    ]
    return ctx.words("refresh.which"), tuple(row(button) for button in names)


def card_shown(
    content: Card,
    plan: Plan,
    library: Library,
    words: Words,
    *,
    family: Family,
    rests: str | None,
    notes: Sequence[HoldNote],
) -> Shown:
    """Return a card. rests: why the arm rests, where it does. notes: what the therapist said of this family's way."""
    planned = plan.activity(content.activity)
    card = CARDS[content.part](
        library[content.activity],
        language=words.language,
        nickname=plan.baby.nickname,
        affected_side=plan.baby.affected_side,
        side=content.side,
        after_feed=planned.after_feed if planned else None,
    )
    said = [_note_shown(each, family, words) for each in notes]
    more = Button(words.plain("refresh.more_button"), verbs.MORE.data(content.activity, content.side))
    ask = _ask(words, content.activity)
    buttons = (row(ask),) if content.part == "whole" else (row(more, ask),)
    return "\n\n".join([card, *([rests] if rests else []), *said]), buttons


def _note_shown(note: HoldNote, family: Family, words: Words) -> str:
    name = "check.note" if note.text else "check.seen"
    day = date_shown(family.local(note.at).date(), words)
    return f"<b>{words(name, therapist=note.therapist, day=day, text=note.text)}</b>"


def _ask(words: Words, activity: str) -> Button:
    return Button(words.plain("refresh.ask_button"), verbs.ASK.data(activity))
