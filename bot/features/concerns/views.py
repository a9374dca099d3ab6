"""Concerns in words: what carers hear, and what therapists are shown with which buttons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.concerns.advice import holds_arm
from bot.concerns.finding import URGENCIES, Concern
from bot.concerns.schema import Advice as Text
from bot.domain.concerns import ConcernRow
from bot.domain.ids import ConcernId
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family, Numbers
from bot.features import verbs
from bot.features.concerns.alert_facts import AlertFacts
from bot.features.concerns.contents import (
    Advice,
    ArmGoesOn,
    ArmHeld,
    AskedTemperature,
    AskedWhether,
    Denied,
    KeptFromView,
    Measured,
    NobodyReached,
    Notified,
    Read,
    ToCarer,
    Unread,
)
from bot.features.concerns.notify_rules import same_words
from bot.features.concerns.short_answers import to_concern
from bot.features.context import CarerContext
from bot.features.formats import quoted, when_shown
from bot.features.show import Shown, show
from bot.phrases import Words
from scheduling.plan import Baby

MOST_CHARACTERS = 3_500
"""Of an alert: the messaging service takes 4,096, and a line is added once somebody has seen it."""

MOST_QUOTED = 120  # characters of the carer's own words, said back to them

# ---------------------------------------------------------------- for carers


@show.register
def _(content: Advice, ctx: CarerContext) -> Shown:
    advice = advice_text(content.texts, ctx.words, ctx.numbers)
    if not content.told.strip():
        return advice, ()
    return f"{advice}\n\n{ctx.words('advice.you_wrote', told=_shortened(content.told))}", ()


def _shortened(told: str) -> str:
    told = " ".join(told.split())
    return told if len(told) <= MOST_QUOTED else told[:MOST_QUOTED].rstrip() + "…"


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
def _(content: AskedTemperature, ctx: CarerContext) -> Shown:
    without = Button(ctx.words.plain("advice.no_thermometer"), verbs.IS_CONCERN.data(content.concern_id))
    return ctx.words("advice.temperature", told=_shortened(content.told), **ctx.numbers.fields()), (
        row(without),
    )


@show.register
def _(content: Measured, ctx: CarerContext) -> Shown:
    return ctx.words("advice.measured", therapist=ctx.therapist().name, **ctx.numbers.fields()), ()


@show.register
def _(content: Denied, ctx: CarerContext) -> Shown:
    line = ctx.numbers.emergency_line
    return ctx.words("concern.denied", therapist=ctx.therapist().name, emergency_line=line), ()


def to_carer(content: ToCarer, words: Words, numbers: Numbers) -> str:
    """Return what a carer hears of their concern while they may be in no talk with us."""
    match content:
        case Notified(therapist, rests):
            return words("concern.told_and_rests" if rests else "concern.told", therapist=therapist)
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


def concern_text(
    found: ConcernRow, facts: AlertFacts, words: Words, beside: Sequence[ConcernRow] = ()
) -> str:
    """Return the alert: who, verbatim, when, what advice was sent, age, and last week in figures.

    beside: what else the same words raised, so that they stand there once with all that they were read as.
    """
    family, language = facts.family, words.language
    together = (found, *beside)
    urgency = min((each.urgency for each in together), key=URGENCIES.index)
    holding = any(_holds(each) for each in together)
    held = ", ".join(facts.library.name(each, language) for each in facts.held if holding)
    topics = [topic for each in together for topic in each.topics]
    advised = any(each.advice for each in together)
    lines = [
        words(f"therapist.concern_{urgency}", nickname=family.nickname),
        _said(found, facts, words),
        words("therapist.read_as", signs=signs_shown(topics, words)),
        *([age_shown(facts.baby, facts.now, family, words)] if facts.baby else []),
        words("therapist.advice_sent" if advised else "therapist.no_advice_sent"),
        _week_line(facts, words),
        *([words("therapist.held", activities=held)] if held else []),
        *([words("therapist.discreet")] if any(each.discreet for each in together) else []),
    ]
    if found.notification_count:
        lines.insert(0, words("therapist.told_before", n=found.notification_count))
    return "\n".join(lines)


def _said(found: ConcernRow, facts: AlertFacts, words: Words) -> str:
    return words(
        "therapist.said",
        carer=facts.carers.get(found.carer_id, found.carer_id),
        when=when_shown(found.at, facts.family, words, facts.clinic_zone),
        text=quoted(found.text),
    )


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


def _week_line(facts: AlertFacts, words: Words) -> str:
    if not facts.week_days:
        return words("therapist.week_none")
    return words("therapist.week_line", minutes=f"{facts.week_minutes:g}", days=facts.week_days)


def head_of(told: Sequence[ConcernRow]) -> ConcernRow:
    """Return the concern that an alert and its buttons are about: of the first words, what was advised or holds the arm."""
    together = [each for each in told if each.id == told[0].id or same_words(each, told[0])]
    return max(together, key=lambda each: (_holds(each), each.advice is not None, each.id == told[0].id))


def alert(told: Sequence[ConcernRow], facts: AlertFacts, words: Words) -> tuple[str, Buttons]:
    """Return one message of a family's unseen concerns: the first in full, the others verbatim, as many as fit.

    Its buttons are about what it shows and nothing else; what does not fit stays unseen and comes with the next one.
    """
    head = head_of(told)
    told = (head, *(each for each in told if each.id != head.id))
    beside = [each for each in told[1:] if same_words(each, head)]
    text = concern_text(head, facts, words, beside)
    apart = sorted((each for each in told[1:] if each not in beside), key=lambda each: each.id)
    others, left = 0, MOST_CHARACTERS - len(text)
    for each in apart:
        mark = words(f"therapist.mark_{each.urgency}")
        left -= len(line := f"\n{mark} {_said(each, facts, words)}")
        if left < 0:
            break
        text += line if others else "\n\n" + words("therapist.also_unseen") + line
        others += 1
    missing = apart[others:]
    if missing:
        text += "\n" + words("therapist.more_unseen", n=len(missing))
    before = min((each.id for each in missing), default=None)
    shown = [each.id for each in (*beside, *apart[:others]) if before is None or each.id < before]
    return text, alert_buttons(head, words, up_to=max(shown, default=None), count=1 + others)


def alert_buttons(
    found: ConcernRow, words: Words, *, up_to: ConcernId | None = None, count: int = 1
) -> Buttons:
    """Return what can be done with a concern that nobody has seen.

    up_to: the highest number of the others that are shown with it; count: how many messages of carers are shown.
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
