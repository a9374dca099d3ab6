"""A yes, a no or a button's own words answer the newest question of ours that they fit: they press its button.

One rule for whatever is asked with buttons, so that what a tap answers, words answer too. Which message that is, is decided
by what still stands in the chat. Two are left to features of their own: reminders, and entries that wait to be counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache

from bot.domain.ids import ConcernId
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.reminders import Reminder
from bot.features import verbs
from bot.features.buttons import CarerPress, by_carer
from bot.features.concerns import handlers as concerns
from bot.features.context import CarerContext
from bot.features.digests import family_week
from bot.features.entries import confidence, entry_buttons
from bot.features.events import ButtonPressed
from bot.features.learned import handlers as learned
from bot.features.privacy import rights
from bot.features.refreshers import refresher
from bot.features.reminders import handlers as reminders
from bot.features.reminders import hours
from bot.features.schedule import dialog, travel
from bot.features.state import load_state
from bot.parsing.answers import YesNo, answered_in_words
from bot.phrases import LANGUAGES, words_for
from bot.storage.repositories.standing import Standing
from bot.text import fold

STANDS_FOR = timedelta(hours=12)
AGREED_WITHIN = timedelta(minutes=30)  # "ok" answers no older question than this
BESIDE = timedelta(minutes=30)
TOGETHER = timedelta(minutes=1)
MOST_WORDS = 6  # a longer message says more than a yes, a no or a button does

BUTTONS: tuple[tuple[str, CarerPress], ...] = (
    by_carer(verbs.IS_CONCERN, concerns.pressed_is_concern),
    by_carer(verbs.NO_CONCERN, concerns.pressed_no_concern),
    by_carer(verbs.DAY_RIGHT, dialog.pressed_right),
    by_carer(verbs.DAY_CHANGE, dialog.pressed_change),
    by_carer(verbs.DAY_APPLY, dialog.pressed_apply),
    by_carer(verbs.DAY_NO, dialog.pressed_no),
    by_carer(verbs.TRAVEL_GO, travel.pressed_go),
    by_carer(verbs.TRAVEL_NO, travel.pressed_no),
    by_carer(verbs.LEARNED, learned.pressed_answer),
    by_carer(verbs.MY_TIMES, learned.pressed_times),
    by_carer(verbs.LEAVE, rights.pressed_leave),
    by_carer(verbs.STAY, rights.pressed_stay),
    by_carer(verbs.RIGHTS, rights.pressed),
    by_carer(verbs.PAUSE, reminders.pressed_pause),
    by_carer(verbs.PAUSE_NO, reminders.pressed_no_pause),
    by_carer(verbs.RESUME, reminders.pressed_resume),
    by_carer(verbs.REMINDERS_BACK, family_week.pressed_back_on),
    by_carer(verbs.HOURS_ANY, hours.pressed_any),
    by_carer(verbs.WEEKENDS, hours.pressed_weekends),
    by_carer(verbs.HOW, refresher.pressed_how),
    by_carer(verbs.NOT_TELL, confidence.pressed_not_tell),
    by_carer(verbs.ONE, entry_buttons.pressed_one),
    by_carer(verbs.TWO, entry_buttons.pressed_two),
)
PRESSED: dict[str, CarerPress] = dict(BUTTONS)


# How the data of a question's yes begins, and of its no; a press without arguments is told by its whole name.
_YES = (
    "isconcern:", "shape:ok", "shape:apply", "travel:go:", "learned:*:yes", "leave", "rights:erase:sure", "rights:all:sure", "pause:ask",
    "how:",
)  # fmt: skip
_NO = (
    "noconcern:", "shape:change", "shape:no", "travel:no", "learned:*:no", "stay", "rights:keep", "pauseno",
    "nottell:",
)  # fmt: skip
_NEEDS_PLAIN_YES = ("isconcern:", "rights:")
_ASKS_OF_TROUBLE = ("noconcern:",)
_UNASKED = ("learned:", "travel:go:")  # asked by us of ourselves, beside a reminder
_LABELS = (
    "advice.unclear_yes", "advice.unclear_no", "pause.tomorrow_button", "pause.three_days_button", "pause.week_button", "pause.open_button",
    "pause.no_button", "pause.resume_button", "load.pause_button", "stop.on_again_button", "stop.leave_button", "stop.stay_button",
    "count.twin_one", "count.twin_two", "shape.right_button", "shape.yes_button", "shape.no_button", "learned.yes_button", "learned.no_button",
    "learned.other_button", "learned.keep_button", "learned.learn_button", "rights.yes_erase_button", "rights.keep_button", "confidence.show_button", "confidence.not_now_button",
    "hours.any_button", "hours.weekend_mornings_button", "hours.weekend_none_button",
)  # fmt: skip
_OTHERS = ("done:", "count:", "drop:", "which:")  # answered by features of their own


@dataclass(frozen=True, slots=True)
class Answered:
    """A question that words answer. data: the button they press; "" where there is none and the question just ends.

    again: the words may only mean that the question was read, so that it is put once more.
    in_doubt: they may as well answer a reminder that came beside it.
    """

    question: Standing
    data: str
    again: bool = False
    in_doubt: bool = False


def asked_together(contexts: Sequence[CarerContext]) -> list[CarerContext]:
    """Return for which of a chat's babies a message answers what was asked: the newest question, and its like of the others."""
    newest = answered(contexts[0], of_all=True)
    if newest is None:
        return []
    kind = newest.data.partition(":")[0]
    found = [(ctx, answered(ctx)) for ctx in contexts]
    return [
        ctx
        for ctx, its in found
        if its is not None
        and its.data.partition(":")[0] == kind
        and newest.question.said_at - its.question.said_at <= TOGETHER
    ]


def button_for(data: Sequence[str], said: YesNo) -> str | None:
    """Return which of a message's buttons a yes or a no presses, "" for a no without one; None where it asks no such thing."""
    yes, no = _first(data, _YES), _first(data, _NO)
    if yes is not None and no is None and _is(yes, ("isconcern:",)):
        return yes  # "no thermometer, or does your baby seem ill?": either answer lets the concern stand
    if no == verbs.PAUSE_NO.data():
        yes = verbs.PAUSE.data(None)  # for how long is asked next
    if said == "no" and no is not None:
        return no
    one_card = sum(_is(each, ("how:",)) for each in data) == 1
    if yes is None or (no is None and not one_card):
        return None
    return "" if said == "no" else yes


def _first(data: Sequence[str], begins: tuple[str, ...]) -> str | None:
    return next((each for each in data if _is(each, begins)), None)


def _is(data: str, begins: tuple[str, ...]) -> bool:
    for each in begins:
        first, star, last = each.partition("*")
        if star and data.startswith(first) and data.endswith(last):
            return True
        if not star and (data.startswith(each) if each.endswith(":") else data == each):
            return True
    return False


def answered(ctx: CarerContext, *, of_all: bool = False) -> Answered | None:
    """Return what a message of a few words answers; None where it is no answer to a question of ours.

    of_all: whichever baby of the chat the question is about.
    """
    if len(ctx.text.split()) > MOST_WORDS:
        return None
    said = answered_in_words(ctx.text)
    if said is None and _plain(ctx.text) not in _labels():
        return None
    standing = ctx.uow.standing.in_chat(ctx.chat_id, ctx.now - STANDS_FOR)
    if ctx.several and not of_all:
        standing = [each for each in standing if each.family_id == ctx.family.id]
    if ctx.reply_to is not None:
        standing = [each for each in standing if each.message_id == ctx.reply_to]
    if said is None:
        return _by_label(ctx, standing)
    worried = next((each for each in standing if _still_asks_of_trouble(ctx, each)), None)
    found, in_doubt = (worried, False) if worried is not None else _newest(standing, said)
    data = button_for(found.data(), said) if found is not None else None
    if found is None or data is None:
        return None
    if said == "agreed" and found is not worried and ctx.now - found.said_at > AGREED_WITHIN:
        return None
    again = said == "agreed" and _is(data, _NEEDS_PLAIN_YES)
    return Answered(found, data, again=again, in_doubt=in_doubt and ctx.reply_to is None)


def _newest(standing: Sequence[Standing], said: YesNo) -> tuple[Standing | None, bool]:
    """Return the message that a yes or no is about, and whether a reminder beside it leaves that in doubt.

    In doubt is a question that a reminder came shortly after, and one that we put unasked shortly after a reminder.
    """
    found = [each for each in standing if _decides(each, said)]
    question = next((each for each in found if button_for(each.data(), said) is not None), None)
    if question is None or question not in found[:2]:
        return (found[0] if found else None), False
    beside = [each for each in found[:2] if _first(each.data(), ("done:",)) is not None]
    near = bool(beside) and abs(beside[0].said_at - question.said_at) <= BESIDE
    if question is not found[0]:
        return (question, True) if near else (found[0], False)
    return question, near and _first(question.data(), _UNASKED) is not None


def _decides(standing: Standing, said: YesNo) -> bool:
    """Say whether a search ends at a message: it asks for a yes or a no, or is answered by another feature."""
    data = standing.data()
    return any(_is(each, _OTHERS) for each in data) or button_for(data, said) is not None


def _still_asks_of_trouble(ctx: CarerContext, standing: Standing) -> bool:
    """Say whether a message asks whether a baby is in trouble, and nobody has answered it yet."""
    if _first(standing.data(), _ASKS_OF_TROUBLE) is None:
        return False
    for each in standing.data():
        read = verbs.pressed(each)
        if read is not None and read[0] == verbs.IS_CONCERN.name:
            number = read[1][0]
            found = ctx.uow.concerns.find(ConcernId(number)) if isinstance(number, int) else None
            return found is not None and found.state == "asked"
    return False


def _by_label(ctx: CarerContext, standing: Sequence[Standing]) -> Answered | None:
    """Return the button of the newest question whose own words were written: "3 days", "stay"."""
    wanted = _plain(ctx.text)
    newest = next((each for each in standing if not any(_is(one, _OTHERS) for one in each.data())), None)
    if newest is None or newest is not standing[0] or not wanted:
        return None
    for line in newest.buttons:
        for button in line:
            read = verbs.pressed(button.data)
            if read is not None and read[0] in PRESSED and _plain(button.label) == wanted:
                return Answered(newest, button.data)
    return None


@cache
def _labels() -> frozenset[str]:
    """Return the words of all such buttons in every language, so that most messages are not looked up at all."""
    return frozenset(_plain(words_for(language).plain(key)) for language in LANGUAGES for key in _LABELS)


def _plain(text: str) -> str:
    return " ".join("".join(letter if letter.isalnum() else " " for letter in fold(text)).split())


def press(ctx: CarerContext, found: Answered) -> None:
    """Do what the button does that was answered in words; what it changes is said below them."""
    question = found.question
    if found.again:
        _say_again(ctx, question)
        return
    event = ctx.event
    pressed = ButtonPressed(
        chat_id=event.chat_id,
        at=event.at,
        user_id=event.user_id,
        user_name=event.user_name,
        language=event.language,
        message_id=question.message_id,
        data=found.data,
        press=None,
    )
    pressing = replace(ctx, event=pressed, loaded=None)
    reminder = load_state(pressing).open_reminder() if found.in_doubt else None
    if reminder is not None:
        _which(ctx, found, reminder)
        return
    read = verbs.pressed(found.data) if found.data else None
    ctx.edit(question.id, "")
    if read is None:
        ctx.answer(ctx.words("edge.all_right"))
    else:
        PRESSED[read[0]](pressing, read[1])


def _say_again(ctx: CarerContext, question: Standing) -> None:
    ctx.edit(question.id, "")
    ctx.context.say(
        OutgoingMessage(
            chat_id=ctx.chat_id,
            text=question.text,
            buttons=question.buttons,
            about=question.about,
            family=question.family_id,
        )
    )


def _which(ctx: CarerContext, found: Answered, reminder: Reminder) -> None:
    """Ask whether a yes or a no answers the reminder or the question that came beside it."""
    yes = answered_in_words(ctx.text) != "no"
    name = ctx.context.library.name(reminder.activity, ctx.carer.language)
    about_reminder = (verbs.DONE if yes else verbs.NOT_NOW).data(reminder.id)
    other = Button(ctx.words.plain("count.our_question_button"), found.data)
    ctx.answer(
        ctx.words("count.yes_to_which" if yes else "count.no_to_which"),
        buttons=(row(Button(name[:24], about_reminder)), row(other)),
        about=found.question.about,
    )
