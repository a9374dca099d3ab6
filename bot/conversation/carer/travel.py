"""Where the family is: their home's time zone, and another one for a while ("we are in Madrid till Sunday").

One clock a family, the baby's: the plan's zone. A carer elsewhere reads the baby's times; who has the baby in another
home for the day takes the reminders over (duty.py), and says so here where that home keeps other time. A stay is two
versions of the plan, there and back, so that every record says by which clock it was made.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from babel.dates import format_date

from bot.conversation.carer.roles import is_day_care
from bot.conversation.day import day_kept, day_shape, shape_shown
from bot.conversation.day.day_kept import say
from bot.conversation.day.place_words import city_of, read_stay, read_until, unlike, zones_named
from bot.conversation.desk import Desk, Talk
from bot.phrases import words_for
from bot.records import audit, day, people
from bot.records.people import Chat, Family
from bot.replies.reading import Reading
from bot.say import Button, Buttons, row
from scheduling.plan import document_of

STAYS = (3, 7, 14)  # days, offered to tap
MOST_OFFERED = 4
_HOME = re.compile(
    r"(?:we(?:'re| are) |ya )?(?:back |at )?(?:home|estamos en casa|volvimos a casa)(?: now| again| ya)?"
)


async def offered(talk: Talk) -> None:
    """/travel: where are you?"""
    if is_day_care(talk.carer):
        await talk.answer(talk.words("travel.family_only"))
        return
    if talk.family.home_zone is not None:
        await talk.answer(_where(talk), buttons=(row(_home_button(talk)),))
        return
    await people.set_step(talk.conn, talk.chat_id, "travel", asked_at=talk.now.isoformat())
    await talk.answer(talk.words("travel.where"))


def _where(talk: Talk) -> str:
    until = talk.family.away_until or talk.today
    return talk.words("travel.now_there", city=_city(talk, talk.family.zone.key), day=_day(talk, until))


def _city(talk: Talk, zone: str) -> str:
    return city_of(zone, talk.words.language)


def _day(talk: Talk, until: date) -> str:
    pattern = "EEEE d 'de' MMMM" if talk.words.language == "es" else "EEEE d MMMM"
    return str(format_date(until, pattern, locale=talk.words.language))


def _clock(talk: Talk, zone: str) -> str:
    return shape_shown.now_in(talk.now.astimezone(ZoneInfo(zone)), talk.words)


def _home_button(talk: Talk) -> Button:
    return Button(talk.words.plain("travel.home_button"), "travel:home")


# ---------------------------------------------------------------- written words


def tells_a_place(talk: Talk) -> bool:
    """Say whether a message tells where the family is: that goes for every baby of the chat."""
    said = talk.incoming.text.strip().casefold().replace("’", "'").rstrip(".! ")
    at_home = talk.family.home_zone is not None and _HOME.fullmatch(said) is not None
    return at_home or read_stay(talk.incoming.text, talk.today) is not None


async def told_in_words(talk: Talk, reading: Reading) -> bool:
    """ "We are in Madrid till Sunday", "we are home"."""
    if is_day_care(talk.carer):
        return False
    said = talk.incoming.text.strip().casefold().replace("’", "'").rstrip(".! ")
    if talk.family.home_zone is not None and _HOME.fullmatch(said):
        await come_home(talk)
        return True
    stay = read_stay(talk.incoming.text, talk.today)
    if stay is None:
        return False
    if stay.for_good:
        await _which_zone(talk, stay.zones, "zone:home")
    else:
        await _place_told(talk, stay.zones, stay.until)
    return True


async def answered(talk: Talk, chat: Chat, reading: Reading) -> bool:
    """Take a typed place, or the last day of a stay."""
    if not day_shape.fresh(talk, chat):
        return False
    text = talk.incoming.text
    zone = chat.data.get("zone")
    if zone is not None:
        until = read_until(text, talk.today)
        if until is None:
            return False
        await go(talk, zone, until)
        return True
    stay = read_stay(text, talk.today)
    zones = stay.zones if stay else zones_named(text)
    if not zones:
        if reading.entries or reading.request or reading.skipped or reading.concern or len(text.split()) > 4:
            return False
        await talk.answer(talk.words("travel.unknown_place"))
        return True
    if chat.step == "zone" or (stay is not None and stay.for_good):
        await _which_zone(talk, zones, "zone:home")
    else:
        await _place_told(talk, zones, stay.until if stay else None)
    return True


async def _place_told(talk: Talk, zones: tuple[str, ...], until: date | None) -> None:
    found = unlike(zones, talk.now)
    if talk.family.zone.key in zones and talk.family.home_zone is None:
        await talk.answer(talk.words("travel.same_time", city=_city(talk, talk.family.zone.key)))
    elif len(found) > 1:
        await _which_zone(talk, found, "travel:to")
    elif until is None:
        await ask_until(talk, found[0])
    else:
        text = talk.words(
            "travel.shall_i", city=_city(talk, found[0]), time=_clock(talk, found[0]), day=_day(talk, until)
        )
        yes = Button(talk.words.plain("shape.yes_button"), f"travel:go:{until.isoformat()}:{found[0]}")
        no = Button(talk.words.plain("shape.no_button"), "travel:no")
        await say(talk, text, (row(yes, no),))


async def _which_zone(talk: Talk, zones: tuple[str, ...], verb: str) -> None:
    found = unlike(zones, talk.now)
    if len(found) > MOST_OFFERED:
        await say(talk, talk.words("travel.many_zones"))
        return
    buttons: Buttons = tuple(
        row(Button(f"{_city(talk, zone)[:14]}, {_clock(talk, zone)}", f"{verb}:{zone}")) for zone in found
    )
    await say(talk, talk.words("travel.is_it"), buttons)


async def ask_until(talk: Talk, zone: str) -> None:
    await people.set_step(talk.conn, talk.chat_id, "travel", zone=zone, asked_at=talk.now.isoformat())
    stays = [
        Button(
            talk.words.plain("travel.days_button", n=days),
            f"travel:go:{(talk.today + timedelta(days=days)).isoformat()}:{zone}",
        )
        for days in STAYS
    ]
    stay = Button(talk.words.plain("travel.moved_button"), f"zone:home:{zone}")
    await say(talk, talk.words("travel.until_when", city=_city(talk, zone)), (row(*stays), row(stay)))


# ---------------------------------------------------------------- going and coming back


async def go(talk: Talk, zone: str, until: date) -> None:
    """Use another time zone up to and with the local day `until`."""
    await people.set_step(talk.conn, talk.chat_id, None)
    plan = (await talk.plan()).plan
    home = talk.family.home_zone or plan.time_zone
    if zone == home:
        await come_home(talk)
        return
    for each in [talk, *await _twins(talk)]:
        version = await each.plan()
        if zone != version.plan.time_zone:
            await day_kept.keep_version(each, replace(version.plan, time_zone=zone))
        await people.change_family(each.conn, each.family.id, home_zone=home, away_until=until)
    text = talk.words(
        "travel.gone",
        city=_city(talk, zone),
        time=_clock(talk, zone),
        day=_day(talk, until),
        home=_city(talk, home),
    )
    await say(talk, text, (row(_home_button(talk)),))


async def come_home(talk: Talk) -> None:
    home = talk.family.home_zone
    if home is None:
        await say(talk, talk.words("travel.same_time", city=_city(talk, talk.family.zone.key)))
        return
    for each in [talk, *await _twins(talk)]:
        await _use_home_zone(each.desk, each.family, made_by=f"carer:{each.carer.id}")
    await say(talk, talk.words("travel.home", city=_city(talk, home), time=_clock(talk, home)))


async def _twins(talk: Talk) -> list[Talk]:
    """Return talks about the other babies of this chat that live by the same clock: they travel together."""
    found = []
    for carer in await people.carers_in_chat(talk.conn, talk.chat_id):
        family = await people.family(talk.conn, carer.family_id)
        if family is None or family.id == talk.family.id or carer.state != "active" or is_day_care(carer):
            continue
        if (family.zone, family.home_zone) == (talk.family.zone, talk.family.home_zone):
            found.append(Talk(talk.desk, talk.incoming, carer, family, several=True))
    return found


async def bring_home(desk: Desk) -> None:
    """Put families whose stay is over back on their home's time. Said nothing of: they were told when they left."""
    for family in await people.away_families(desk.conn):
        if family.away_until is not None and family.local(desk.now).date() > family.away_until:
            await _use_home_zone(desk, family, made_by="server")


async def _use_home_zone(desk: Desk, family: Family, *, made_by: str) -> None:
    version = await day.plan_of(desk.conn, family.id)
    await people.change_family(desk.conn, family.id, home_zone=None, away_until=None)
    if version is None or family.home_zone is None or version.plan.time_zone == family.home_zone:
        return
    therapist = await people.therapist(desk.conn, family.therapist_id)
    words = words_for(therapist.language if therapist else "en")
    await day.add_plan(
        desk.conn,
        family.id,
        document_of(replace(version.plan, time_zone=family.home_zone)),
        made_by=made_by,
        now=desk.now,
        note=words.plain("travel.note_home", city=city_of(family.home_zone, words.language)),
        told=True,
    )
    await day.drop_planned(desk.conn, family.id)
    await audit.note(desk.conn, who=made_by, what="back home", now=desk.now, family_id=family.id)


# ---------------------------------------------------------------- buttons


async def pressed(talk: Talk, argument: str) -> None:
    """travel:go:DATE:ZONE, travel:to:ZONE, travel:home, travel:no."""
    await talk.note()
    if is_day_care(talk.carer):
        return
    what, _, value = argument.partition(":")
    match what:
        case "go":
            until, _, zone = value.partition(":")
            if _known(zone) and re.fullmatch(r"\d{4}-\d\d-\d\d", until):
                await go(talk, zone, date.fromisoformat(until))
        case "to" if _known(value):
            await ask_until(talk, value)
        case "home":
            await come_home(talk)
        case "no":
            await say(talk, talk.words("shape.not_changed"))


async def pressed_zone(talk: Talk, argument: str) -> None:
    """zone:ask, zone:home:ZONE."""
    await talk.note()
    what, _, zone = argument.partition(":")
    if is_day_care(talk.carer):
        return
    if what == "ask":
        await people.set_step(talk.conn, talk.chat_id, "zone", asked_at=talk.now.isoformat())
        await say(talk, talk.words("travel.where_home"))
    elif what == "home" and _known(zone):
        await people.set_step(talk.conn, talk.chat_id, None)
        plan = (await talk.plan()).plan
        if talk.family.shape_told_at is None and (not plan.awake or day_shape.being_asked(talk)):
            await day_shape.keep_zone(talk, zone)
            return
        await people.change_family(talk.conn, talk.family.id, home_zone=None, away_until=None)
        await day_kept.change(talk, replace(plan, time_zone=zone))


def _known(zone: str) -> bool:
    return bool(zones_named(zone, near=False))
