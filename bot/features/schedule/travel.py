"""Where the family is: their home's time zone, and another one for a while ("we are in Madrid till Sunday").

One clock a family, the baby's: the plan's zone. A carer elsewhere reads the baby's times; who has the baby in another
home for the day takes the reminders over (duty.py), and says so here where that home keeps other time. A stay is two
versions of the plan, there and back, so that every record says by which clock it was made.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from bot.domain.actor import SERVER, Actor
from bot.domain.dialogs import DialogState
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Family
from bot.domain.roles import is_day_care
from bot.features import verbs
from bot.features.buttons import Verb
from bot.features.chat import say
from bot.features.context import CarerContext, Context
from bot.features.formats import day_shown, time_shown
from bot.features.schedule import dialog, save
from bot.parsing.answers import says_no, says_yes
from bot.parsing.dates import iso_date
from bot.parsing.stay import city_of, read_stay, read_until, says_home, unlike, zones_named
from bot.phrases import words_for
from bot.replies.reading import Reading
from scheduling.plan import document_of

STAYS = (3, 7, 14)  # days, offered to tap
MOST_OFFERED = 4


def offered(ctx: CarerContext) -> None:
    """/travel: where are you?"""
    if is_day_care(ctx.carer):
        ctx.answer(ctx.words("travel.family_only"))
        return
    if ctx.family.home_zone is not None:
        ctx.answer(_where(ctx), buttons=(row(_home_button(ctx)),))
        return
    ctx.uow.chats.start_dialog(ctx.chat_id, "travel", {"asked_at": ctx.now.isoformat()})
    ctx.answer(ctx.words("travel.where"))


def _where(ctx: CarerContext) -> str:
    until = ctx.family.away_until or ctx.today
    return ctx.words("travel.now_there", city=_city(ctx, ctx.family.zone.key), day=_day(ctx, until))


def _city(ctx: CarerContext, zone: str) -> str:
    return city_of(zone, ctx.words.language)


def _day(ctx: CarerContext, until: date) -> str:
    return day_shown(until, ctx.words)


def _clock(ctx: CarerContext, zone: str) -> str:
    return time_shown(ctx.now.astimezone(ZoneInfo(zone)).time(), ctx.words)


def _home_button(ctx: CarerContext) -> Button:
    return Button(ctx.words.plain("travel.home_button"), verbs.TRAVEL_HOME.data())


# ---------------------------------------------------------------- written words


def tells_a_place(ctx: CarerContext) -> bool:
    """Say whether a message tells where the family is: that goes for every baby of the chat."""
    at_home = ctx.family.home_zone is not None and says_home(ctx.text)
    return at_home or read_stay(ctx.text, ctx.today) is not None


def told_in_words(ctx: CarerContext, reading: Reading) -> bool:
    """ "We are in Madrid till Sunday", "we are home"."""
    if is_day_care(ctx.carer):
        return False
    if ctx.family.home_zone is not None and says_home(ctx.text):
        come_home(ctx)
        return True
    stay = read_stay(ctx.text, ctx.today)
    if stay is None:
        return False
    if stay.for_good:
        _which_zone(ctx, stay.zones, verbs.ZONE_HOME)
    else:
        _place_told(ctx, stay.zones, stay.until)
    return True


def answered(ctx: CarerContext, state: DialogState, reading: Reading) -> bool:
    """Take a typed place, the last day of a stay, or the yes or no to it."""
    if not dialog.fresh(ctx, state):
        return False
    text = ctx.text
    offered, until = state.text("offered"), iso_date(state.text("until") or "")
    if offered is not None and until is not None:
        if says_yes(text):
            go(ctx, offered, until)
            return True
        if says_no(text):
            _leave(ctx)
            return True
        return False
    zone = state.text("zone")
    if zone is not None:
        until = read_until(text, ctx.today)
        if until is None:
            return False
        go(ctx, zone, until)
        return True
    stay = read_stay(text, ctx.today)
    zones = stay.zones if stay else zones_named(text)
    if not zones:
        if reading.entries or reading.request or reading.skipped or reading.concern or len(text.split()) > 4:
            return False
        ctx.answer(ctx.words("travel.unknown_place"))
        return True
    if state.step == "zone" or (stay is not None and stay.for_good):
        _which_zone(ctx, zones, verbs.ZONE_HOME)
    else:
        _place_told(ctx, zones, stay.until if stay else None)
    return True


def _place_told(ctx: CarerContext, zones: tuple[str, ...], until: date | None) -> None:
    found = unlike(zones, ctx.now)
    if ctx.family.zone.key in zones and ctx.family.home_zone is None:
        ctx.answer(ctx.words("travel.same_time", city=_city(ctx, ctx.family.zone.key)))
    elif len(found) > 1:
        _which_zone(ctx, found, verbs.TRAVEL_TO)
    elif until is None:
        ask_until(ctx, found[0])
    else:
        asked = {"offered": found[0], "until": until.isoformat(), "asked_at": ctx.now.isoformat()}
        ctx.uow.chats.start_dialog(ctx.chat_id, "travel", asked)
        text = ctx.words(
            "travel.shall_i", city=_city(ctx, found[0]), time=_clock(ctx, found[0]), day=_day(ctx, until)
        )
        yes = Button(ctx.words.plain("shape.yes_button"), verbs.TRAVEL_GO.data(until.isoformat(), found[0]))
        no = Button(ctx.words.plain("shape.no_button"), verbs.TRAVEL_NO.data())
        say(ctx, text, (row(yes, no),))


def _leave(ctx: CarerContext) -> None:
    """Leave the family where it is."""
    ctx.uow.chats.end_dialog(ctx.chat_id)
    say(ctx, ctx.words("shape.not_changed"))


def _which_zone(ctx: CarerContext, zones: tuple[str, ...], verb: Verb[str]) -> None:
    found = unlike(zones, ctx.now)
    if len(found) > MOST_OFFERED:
        say(ctx, ctx.words("travel.many_zones"))
        return
    buttons: Buttons = tuple(
        row(Button(f"{_city(ctx, zone)[:14]}, {_clock(ctx, zone)}", verb.data(zone))) for zone in found
    )
    say(ctx, ctx.words("travel.is_it"), buttons)


def ask_until(ctx: CarerContext, zone: str) -> None:
    ctx.uow.chats.start_dialog(ctx.chat_id, "travel", {"zone": zone, "asked_at": ctx.now.isoformat()})
    stays = [
        Button(
            ctx.words.plain("travel.days_button", n=days),
            verbs.TRAVEL_GO.data((ctx.today + timedelta(days=days)).isoformat(), zone),
        )
        for days in STAYS
    ]
    stay = Button(ctx.words.plain("travel.moved_button"), verbs.ZONE_HOME.data(zone))
    say(ctx, ctx.words("travel.until_when", city=_city(ctx, zone)), (row(*stays), row(stay)))


# ---------------------------------------------------------------- going and coming back


def go(ctx: CarerContext, zone: str, until: date) -> None:
    """Use another time zone up to and with the local day `until`."""
    ctx.uow.chats.end_dialog(ctx.chat_id)
    plan = (ctx.plan()).plan
    home = ctx.family.home_zone or plan.time_zone
    if zone == home:
        come_home(ctx)
        return
    for each in [ctx, *_twins(ctx)]:
        version = each.plan()
        if zone != version.plan.time_zone:
            save.keep_version(each, replace(version.plan, time_zone=zone))
        each.uow.families.begin_stay(each.family.id, home_zone=home, until=until)
    text = ctx.words(
        "travel.gone",
        city=_city(ctx, zone),
        time=_clock(ctx, zone),
        day=_day(ctx, until),
        home=_city(ctx, home),
    )
    say(ctx, text, (row(_home_button(ctx)),))


def come_home(ctx: CarerContext) -> None:
    home = ctx.family.home_zone
    if home is None:
        say(ctx, ctx.words("travel.same_time", city=_city(ctx, ctx.family.zone.key)))
        return
    for each in [ctx, *_twins(ctx)]:
        _use_home_zone(each.context, each.family, made_by=Actor.carer(each.carer.id))
    say(ctx, ctx.words("travel.home", city=_city(ctx, home), time=_clock(ctx, home)))


def _twins(ctx: CarerContext) -> list[CarerContext]:
    """Return talks about the other babies of this chat that live by the same clock: they travel together."""
    found = []
    for carer in ctx.uow.carers.in_chat(ctx.chat_id):
        family = ctx.uow.families.find(carer.family_id)
        if family is None or family.id == ctx.family.id or carer.state != "active" or is_day_care(carer):
            continue
        if (family.zone, family.home_zone) == (ctx.family.zone, ctx.family.home_zone):
            found.append(CarerContext(ctx.context, ctx.event, carer, family, several=True))
    return found


def bring_home(context: Context) -> None:
    """Put families whose stay is over back on their home's time. Said nothing of: they were told when they left."""
    for family in context.uow.families.away():
        if family.away_until is not None and family.local(context.now).date() > family.away_until:
            _use_home_zone(context, family, made_by=SERVER)


def _use_home_zone(context: Context, family: Family, *, made_by: Actor) -> None:
    version = context.uow.plans.current(family.id)
    context.uow.families.end_stay(family.id)
    if version is None or family.home_zone is None or version.plan.time_zone == family.home_zone:
        return
    therapist = context.uow.therapists.find(family.therapist_id)
    words = words_for(therapist.language if therapist else "en")
    context.uow.plans.add(
        family.id,
        document_of(replace(version.plan, time_zone=family.home_zone)),
        made_by=made_by,
        now=context.now,
        note=words.plain("travel.note_home", city=city_of(family.home_zone, words.language)),
        told=True,
    )
    context.uow.reminders.drop_planned(family.id)
    context.uow.audit.note(who=made_by, what="back home", now=context.now, family_id=family.id)


# ---------------------------------------------------------------- buttons


def pressed_go(ctx: CarerContext, day: str, zone: str) -> None:
    until = iso_date(day)
    if dialog.may_press(ctx) and _known(zone) and until is not None:
        go(ctx, zone, until)


def pressed_to(ctx: CarerContext, zone: str) -> None:
    if dialog.may_press(ctx) and _known(zone):
        ask_until(ctx, zone)


def pressed_home(ctx: CarerContext) -> None:
    if dialog.may_press(ctx):
        come_home(ctx)


def pressed_no(ctx: CarerContext) -> None:
    if dialog.may_press(ctx):
        _leave(ctx)


def pressed_zone_ask(ctx: CarerContext) -> None:
    if dialog.may_press(ctx):
        ctx.uow.chats.start_dialog(ctx.chat_id, "zone", {"asked_at": ctx.now.isoformat()})
        say(ctx, ctx.words("travel.where_home"))


def pressed_zone_home(ctx: CarerContext, zone: str) -> None:
    if not dialog.may_press(ctx) or not _known(zone):
        return
    ctx.uow.chats.end_dialog(ctx.chat_id)
    plan = (ctx.plan()).plan
    if dialog.is_first_talk(ctx, plan):
        dialog.keep_zone(ctx, zone)
        return
    ctx.uow.families.end_stay(ctx.family.id)
    save.change(ctx, replace(plan, time_zone=zone))


def _known(zone: str) -> bool:
    return bool(zones_named(zone, near=False))
