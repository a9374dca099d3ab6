"""Where the family is: their home's time zone, and another one for a while ("we are in Madrid till Sunday").

One clock a family, the baby's: the plan's zone. A carer elsewhere reads the baby's times; who has the baby in another
home for the day takes the reminders over (duty.py), and says so here where that home keeps other time. Load, decide,
apply: stay_rules.py decides, save.py keeps.
"""

from __future__ import annotations

from typing import Literal

from bot.domain.dialogs import DialogState
from bot.features.apply import apply
from bot.features.context import CarerContext
from bot.features.effects import Reply, StartDialog
from bot.features.schedule import stay_rules
from bot.features.schedule.contents import PlaceLine
from bot.features.schedule.dialog import may_press
from bot.features.schedule.state import DayState, load
from bot.parsing.answers import answered_in_words, says_no, says_yes
from bot.parsing.asides import aside_in
from bot.parsing.dates import iso_date
from bot.parsing.journeys import Journey, days_said, read_journey
from bot.parsing.stay import Stay, read_stay, read_until, says_home, zones_named
from bot.replies.reading import Reading

LONGEST_PLACE = 4  # words of a place that is not known


def offered(ctx: CarerContext) -> None:
    """/travel: where are you?"""
    apply(ctx, stay_rules.decide_where(load(ctx)))


# ---------------------------------------------------------------- written words


def tells_a_place(ctx: CarerContext) -> bool:
    """Say whether a message tells where the family is: that goes for every baby of the chat."""
    return _place_told(ctx) is not None


def _place_told(ctx: CarerContext) -> Stay | Journey | Literal["home"] | None:
    """Return where a message says that the family is or will be."""
    stay = read_stay(ctx.text, ctx.today)
    journey = read_journey(ctx.text, ctx.today) if stay is None else None
    if journey is not None:
        return journey
    return "home" if ctx.family.home_zone is not None and says_home(ctx.text) else stay


def told_in_words(ctx: CarerContext) -> bool:
    """ "We are in Madrid till Sunday", "we are home"."""
    told = _place_told(ctx)
    if told is None or (state := load(ctx)).day_care:
        return False
    match told:
        case Journey():
            apply(ctx, stay_rules.decide_journey(state, told))
        case Stay():
            apply(ctx, stay_rules.decide_stay(state, told))
        case "home":
            apply(ctx, stay_rules.decide_home(state))
    return True


def answered(ctx: CarerContext, dialog: DialogState, reading: Reading) -> bool:
    """Take a typed place, the last day of a stay, or the yes or no to it."""
    state = load(ctx)
    if not state.fresh:
        return False
    offered, until = dialog.text("offered"), iso_date(dialog.text("until") or "")
    if offered is not None and until is not None:
        if says_yes(ctx.text):
            apply(ctx, stay_rules.decide_go(state, offered, until))
            return True
        if says_no(ctx.text):
            apply(ctx, stay_rules.decide_stays(state))
            return True
        since, told_until = days_said(ctx.text, ctx.today)
        if since is not None and since > ctx.today and not reading.entries:
            ends = told_until or until
            if since <= ends:  # "from Friday", said to the last day that was understood
                apply(ctx, stay_rules.decide_later(state, offered, since, ends))
                return True
        other = read_until(ctx.text, ctx.today)
        if other is None or reading.entries or reading.skipped or reading.concern:
            return False
        apply(ctx, stay_rules.decide_place(state, (offered,), other, for_good=False))
        return True
    zone = dialog.text("zone")
    if zone is not None:
        return _until_answered(ctx, dialog, state, zone)
    return _place_answered(ctx, dialog, reading)


def _until_answered(ctx: CarerContext, dialog: DialogState, state: DayState, zone: str) -> bool:
    """Take the last day of a stay; its first day alone ("from Friday") is kept, and the last one asked for again."""
    since, until = days_said(ctx.text, ctx.today)
    since = since or iso_date(dialog.text("told_since") or "")
    until = until or (read_until(ctx.text, ctx.today) if since is None else None)
    if until is None:
        if since is not None:
            apply(ctx, stay_rules.decide_until(state, zone, since))
        return since is not None
    later = since is not None and since > ctx.today
    decided = stay_rules.decide_later(state, zone, since, until) if since and later else None
    apply(ctx, decided or stay_rules.decide_go(state, zone, until))
    return True


def _place_answered(ctx: CarerContext, dialog: DialogState, reading: Reading) -> bool:
    """Take a typed place; what names no known place and is not a message of another kind is asked again."""
    said = answered_in_words(ctx.text)
    if said == "no":
        apply(ctx, stay_rules.decide_stays(load(ctx)))
        return True
    asked_at = dialog.instant("asked_at")
    if said == "yes" and asked_at is not None:
        if ctx.uow.reminders.open_in_family(ctx.family.id, since=asked_at) is not None:
            return False
        apply(ctx, (Reply(content=PlaceLine("unknown_place")),))
        return True
    stay = read_stay(ctx.text, ctx.today) if said is None else None
    zones = stay.zones if stay else zones_named(ctx.text) if said is None else ()
    if not zones:
        says_more = reading.entries or reading.request or reading.skipped or reading.concern
        asks_us = aside_in(ctx.text) is not None  # "remove me" is no place
        if says_more or asks_us or len(ctx.text.split()) > LONGEST_PLACE:
            return False
        apply(ctx, (Reply(content=PlaceLine("unknown_place")),))
        return True
    for_good = dialog.step == "zone" or (stay is not None and stay.for_good)
    told_since, told_until = (
        iso_date(dialog.text("told_since") or ""),
        iso_date(dialog.text("told_until") or ""),
    )
    until = (stay.until if stay else None) or told_until
    decided = stay_rules.decide_place(load(ctx), zones, until, for_good=for_good, since=told_since)
    apply(ctx, decided)
    return True


# ---------------------------------------------------------------- buttons


def pressed_go(ctx: CarerContext, day: str, zone: str) -> None:
    state, until = may_press(ctx), iso_date(day)
    if state is None or not _known(zone) or until is None:
        return
    since = iso_date(state.dialog.text("told_since") or "")
    if since is not None and since > state.today and state.dialog.text("zone") == zone:
        apply(ctx, stay_rules.decide_later(state, zone, since, since + (until - state.today)))
    else:
        apply(ctx, stay_rules.decide_go(state, zone, until))


def pressed_to(ctx: CarerContext, zone: str) -> None:
    state = may_press(ctx)
    if state is not None and _known(zone):
        apply(ctx, stay_rules.decide_until(state, zone))


def pressed_home(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, stay_rules.decide_home(state))


def pressed_no(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, stay_rules.decide_stays(state))


def pressed_zone_ask(ctx: CarerContext) -> None:
    if (state := may_press(ctx)) is not None:
        apply(ctx, (StartDialog("zone", state.asked_now), state.say(PlaceLine("where_home"))))


def pressed_zone_home(ctx: CarerContext, zone: str) -> None:
    state = may_press(ctx)
    if state is not None and _known(zone):
        apply(ctx, stay_rules.decide_home_zone(state, zone))


def _known(zone: str) -> bool:
    return bool(zones_named(zone, near=False))
