"""Concerns in words: what carers hear, and what therapists are shown with which buttons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.concerns.advice import holds_arm
from bot.concerns.finding import Concern
from bot.concerns.schema import Advice as Text
from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family, Numbers
from bot.features import verbs
from bot.features.concerns.contents import (
    Advice,
    ArmGoesOn,
    ArmHeld,
    AskedWhether,
    Denied,
    KeptFromView,
    NobodyReached,
    Notified,
    Read,
    ToCarer,
    Unread,
)
from bot.features.concerns.short_answers import to_concern
from bot.features.context import CarerContext, Context
from bot.features.formats import quoted, when_shown
from bot.features.reminders import holds
from bot.features.show import Shown, show
from bot.phrases import Words
from scheduling.plan import Baby

MOST_CHARACTERS = 3_500
"""Of an alert: the messaging service takes 4,096, and a line is added once somebody has seen it."""

# ---------------------------------------------------------------- for carers


@show.register
def _(content: Advice, ctx: CarerContext) -> Shown:
    return advice_text(content.texts, ctx.words, ctx.numbers), ()


def advice_text(texts: tuple[Text, ...], words: Words, numbers: Numbers) -> str:
    """Return reviewed texts with the numbers to call, one after the other."""
    return "\n\n".join(words(f"advice.{text}", **numbers.fields()) for text in texts)


@show.register
def _(content: KeptFromView, ctx: CarerContext) -> Shown:
    opens = Button(ctx.words.plain("advice.discreet_button"), verbs.OPEN_ADVICE.data(content.concern_id))
    return ctx.words("advice.discreet", emergency_line=ctx.numbers.emergency_line), (row(opens),)


@show.register
def _(content: AskedWhether, ctx: CarerContext) -> Shown:
    words = ctx.words
    yes = Button(words.plain("advice.unclear_yes"), verbs.IS_CONCERN.data(content.concern_id))
    no = Button(words.plain("advice.unclear_no"), verbs.NO_CONCERN.data(content.concern_id))
    return words("advice.unclear", emergency_line=ctx.numbers.emergency_line), (row(yes, no),)


@show.register
def _(content: Denied, ctx: CarerContext) -> Shown:
    line = ctx.numbers.emergency_line
    return ctx.words("concern.denied", therapist=ctx.therapist().name, emergency_line=line), ()


def to_carer(content: ToCarer, words: Words, numbers: Numbers) -> str:
    """Return what a carer hears of their concern while they may be in no talk with us."""
    match content:
        case Notified(therapist):
            return words("concern.told", therapist=therapist)
        case NobodyReached(therapist):
            return words("concern.nobody_reached", therapist=therapist, emergency_line=numbers.emergency_line)
        case Unread():
            return words(
                "concern.unread", nurse_line=numbers.nurse_line, emergency_line=numbers.emergency_line
            )
        case Read(therapist):
            return words("concern.read", therapist=therapist)
        case ArmHeld(therapist):
            return words("concern.arm_held", therapist=therapist)
        case ArmGoesOn(therapist):
            return words("concern.arm_go_on", therapist=therapist)


# ---------------------------------------------------------------- for therapists


def age_shown(baby: Baby, now: datetime, family: Family, words: Words) -> str:
    """Return the age in weeks, and the corrected age where the baby was born before 37 weeks and is under two."""
    weeks = max(0, (family.local(now).date() - baby.born).days // 7)
    if baby.gestation_weeks >= 37 or weeks >= 104:
        return words.plain("therapist.age", n=weeks)
    return words.plain("therapist.age_corrected", n=weeks, corrected=weeks - (40 - baby.gestation_weeks))


def concern_text(context: Context, found: ConcernRow, family: Family, words: Words) -> str:
    """Return the alert: who, verbatim, when, what advice was sent, age, and last week in figures."""
    carer = context.uow.carers.find(family.id, found.carer_id)
    version = context.uow.plans.current(family.id)
    held = (
        sorted(holds.held_by_concern(context, family.id, version.plan)) if version and _holds(found) else []
    )
    lines = [
        words(f"therapist.concern_{found.urgency}", nickname=family.nickname),
        words(
            "therapist.said",
            carer=carer.name if carer else found.carer_id,
            when=when_shown(found.at, family, words),
            text=quoted(found.text),
        ),
        words("therapist.read_as", signs=signs_shown(found.topics, words)),
        *([age_shown(version.plan.baby, context.now, family, words)] if version else []),
        words("therapist.advice_sent" if found.advice else "therapist.no_advice_sent"),
        _week_line(context, family, words),
        *([words("therapist.held", activities=_names(context, held, words))] if held else []),
        *([words("therapist.discreet")] if found.discreet else []),
    ]
    if found.notification_count:
        lines.insert(0, words("therapist.told_before", n=found.notification_count))
    return "\n".join(lines)


def signs_shown(topics: Sequence[str], words: Words) -> str:
    """Return by name what a concern was read as, in the therapist's language, each name once.

    A sign that the files hold no more, of an old concern, is told by its id.
    """
    named = (
        words.plain(f"sign.{topic}") if words.has(f"sign.{topic}") else topic.replace("_", " ")
        for topic in topics
    )
    return ", ".join(dict.fromkeys(named))


def _holds(found: ConcernRow) -> bool:
    return holds_arm(found.topics) and found.released_at is None


def _names(context: Context, activities: Sequence[str], words: Words) -> str:
    return ", ".join(context.library.name(each, words.language) for each in activities)


def _week_line(context: Context, family: Family, words: Words) -> str:
    today = family.local(context.now).date()
    sessions = context.uow.entries.counted_between(family.id, today - timedelta(days=6), today)
    minutes = sum(session.minutes or 0 for session in sessions)
    if not sessions:
        return words("therapist.week_none")
    days = len({session.local_date for session in sessions})
    return words("therapist.week_line", minutes=f"{minutes:g}", days=days)


def alert(context: Context, told: Sequence[ConcernRow], words: Words) -> tuple[str, Buttons]:
    """Return one message of a family's unseen concerns: the first in full, the others verbatim, as many as fit.

    Its buttons are about what it shows and nothing else; what does not fit stays unseen and comes with the next one.
    """
    head, family = told[0], context.uow.families.get(told[0].family_id)
    text = concern_text(context, head, family, words)
    others, left = [], MOST_CHARACTERS - len(text)
    for each in sorted(told[1:], key=lambda each: each.id):
        others.append(each)
        left -= len(line := _also_line(context, each, family, words))
        if left < 0:
            others.pop()
            break
        text += line if len(others) > 1 else "\n\n" + words("therapist.also_unseen") + line
    if missing := len(told) - 1 - len(others):
        text += "\n" + words("therapist.more_unseen", n=missing)
    return text, alert_buttons(head, words, up_to=others[-1].id if others else None, count=1 + len(others))


def _also_line(context: Context, found: ConcernRow, family: Family, words: Words) -> str:
    carer = context.uow.carers.find(family.id, found.carer_id)
    said = words(
        "therapist.said",
        carer=carer.name if carer else found.carer_id,
        when=when_shown(found.at, family, words),
        text=quoted(found.text),
    )
    mark = words(f"therapist.mark_{found.urgency}")
    return f"\n{mark} {said}"


def alert_buttons(
    found: ConcernRow, words: Words, *, up_to: ConcernId | None = None, count: int = 1
) -> Buttons:
    """Return what can be done with a concern that nobody has seen.

    up_to: the highest number of the others that are shown with it; count: how many are shown.
    """
    seen, answer, called, wrong = _buttons(found, words, up_to)
    if count > 1:
        seen = Button(words.plain("therapist.seen_all_button", n=count), verbs.SEEN.data(found.id, up_to))
    return row(seen, answer), row(called, wrong), *_more_rows(found, words)


def left_buttons(found: ConcernRow, state: str, words: Words) -> Buttons:
    """Return what can still be done once somebody has seen it."""
    _, answer, called, wrong = _buttons(found, words)
    if state == "seen":
        return row(answer, called), row(wrong), *_more_rows(found, words)
    return row(answer), *_more_rows(found, words)


def _buttons(
    found: ConcernRow, words: Words, up_to: ConcernId | None = None
) -> tuple[Button, Button, Button, Button]:
    return (
        Button(words.plain("therapist.seen_button"), verbs.SEEN.data(found.id, up_to)),
        Button(words.plain("therapist.answer_button"), verbs.ANSWER.data(found.id)),
        Button(words.plain("therapist.called_button"), verbs.CALLED.data(found.id, up_to)),
        Button(words.plain("therapist.wrong_button"), verbs.WRONG.data(found.id)),
    )


def _more_rows(found: ConcernRow, words: Words) -> Buttons:
    go_on = row(Button(words.plain("therapist.go_on_button"), verbs.GO_ON.data(found.id)))
    advice = row(Button(words.plain("settle.advice_button"), verbs.ADVICE.data(found.id)))
    short = row(Button(words.plain("short.button"), verbs.SHORT_CONCERN.data(found.id)))
    return (
        *((short,) if to_concern(Concern(found.urgency, found.topics)) else ()),
        *((go_on,) if _holds(found) else ()),
        *((advice,) if found.advice else ()),
    )
