"""A new family, set up in a few messages: nickname, born, gestation, side, zone, and then an empty plan."""

from __future__ import annotations

from datetime import date
from zoneinfo import available_timezones

from bot.conversation.dates import dates_in
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.names import folded
from bot.conversation.therapist import covering, inviting
from bot.conversation.therapist.cover_talk import day_shown
from bot.conversation.therapist.therapist_talk import edit_pressed, say
from bot.phrases import Words, words_for
from bot.records import audit, newcomers, people
from bot.records.people import Therapist
from bot.say import Button, Buttons, row

STEP = "newfamily"
ASKED = ("nickname", "born", "gestation", "side", "zone")
SIDES = ("left", "right", "both")
LONGEST_NICKNAME = 30
OLDEST_YEARS = 6  # nobody older is a family's baby here: a mistyped year
TERM = 40


async def new_family(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    """/newfamily [nickname]: begin, anew where such a talk was left."""
    await people.set_step(desk.conn, incoming.chat_id, STEP, at="nickname")
    words = words_for(therapist.language)
    if asked.strip():
        await _took(desk, incoming, therapist, "nickname", asked)
    else:
        await say(desk, incoming, words("setup.ask_nickname"))


async def pressed_new(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await new_family(desk, incoming, therapist, "")


async def written(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """The step "newfamily": the answer to what was asked last."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    await _took(desk, incoming, therapist, str(chat.data["at"]), incoming.text)


async def pressed_answer(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """A tap in place of words: "nf:side:left", "nf:zone:here", "nf:gestation:40", "nf:make"."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.step != STEP:
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
        return
    field, _, value = argument.partition(":")
    if field == "make" and chat.data["at"] == "make":
        await _make(desk, incoming, therapist, chat.data)
    elif field == "again":
        await new_family(desk, incoming, therapist, "")
    elif field == chat.data["at"]:
        await _took(desk, incoming, therapist, field, desk.clinic.zone.key if value == "here" else value)
    else:
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))


async def _took(desk: Desk, incoming: Incoming, therapist: Therapist, field: str, text: str) -> None:
    """Keep one answer and ask the next thing; an answer that cannot be read is asked for once more."""
    words = words_for(therapist.language)
    value = read_answer(field, text, covering.clinic_day(desk))
    if value is None:
        key = f"setup.not_{field}" if field in ASKED else "setup.tap_make"
        await say(desk, incoming, words(key, text=text.strip()[:60]))
        return
    chat = await people.chat(desk.conn, incoming.chat_id)
    following = [*ASKED, "make"][ASKED.index(field) + 1]
    known = {**chat.data, field: value, "at": following}
    await people.set_step(desk.conn, incoming.chat_id, STEP, **known)
    question, buttons = _question(following, known, words, desk)
    await say(desk, incoming, question, buttons)


def read_answer(field: str, text: str, today: date) -> str | int | None:
    """Return what an answer says, ready to keep; None where it cannot be read. Pure.

    born: ISO date, not to come, at most six years ago. gestation: completed weeks, 20 to 45.
    """
    flat = " ".join(text.split())
    match field:
        case "nickname":
            return flat if 0 < len(flat) <= LONGEST_NICKNAME else None
        case "born":
            found = dates_in(flat, today, ahead=False)
            usable = len(found) == 1 and found[0] <= today and today.year - found[0].year <= OLDEST_YEARS
            return found[0].isoformat() if usable else None
        case "gestation":
            number = flat.split("+")[0].split(" ")[0]
            return int(number) if number.isdecimal() and 20 <= int(number) <= 45 else None
        case "side":
            names = {"left": "left", "izquierdo": "left", "izquierda": "left", "right": "right"}
            names |= {
                "derecho": "right",
                "derecha": "right",
                "both": "both",
                "ambos": "both",
                "los dos": "both",
            }
            return names.get(folded(flat))
        case "zone":
            return _zone(flat)
        case _:
            return None


def _zone(text: str) -> str | None:
    """Return the zone that a name or a city stands for: America/Halifax, halifax, Buenos Aires."""
    sought = folded(text).replace(" ", "_")
    zones = sorted(available_timezones())
    exact = [zone for zone in zones if folded(zone) == sought]
    cities = [zone for zone in zones if "/" in zone and folded(zone.rsplit("/", 1)[1]) == sought]
    # A city may stand under an old name too; the shortest is the one in use.
    return next(iter(exact or sorted(cities, key=lambda zone: (zone.count("/"), len(zone)))), None)


def _question(field: str, known: dict[str, object], words: Words, desk: Desk) -> tuple[str, Buttons]:
    nickname = str(known["nickname"])
    match field:
        case "born":
            return words("setup.ask_born", nickname=nickname), ()
        case "gestation":
            term = Button(words.plain("setup.term_button", n=TERM), f"nf:gestation:{TERM}")
            return words("setup.ask_gestation"), (row(term),)
        case "side":
            buttons = [Button(words.plain(f"setup.side_{side}"), f"nf:side:{side}") for side in SIDES]
            return words("setup.ask_side"), (row(*buttons),)
        case "zone":
            here = Button(words.plain("setup.zone_button"), "nf:zone:here")
            return words("setup.ask_zone", zone=desk.clinic.zone.key), (row(here),)
        case _:
            side = words.plain(f"setup.side_{known['side']}")
            text = words(
                "setup.check",
                nickname=nickname,
                born=day_shown(date.fromisoformat(str(known["born"])), words, year=True),
                gestation=known["gestation"],
                side=side,
                zone=known["zone"],
            )
            make = Button(words.plain("setup.make_button"), "nf:make")
            again = Button(words.plain("setup.again"), "nf:again")
            return text, (row(make, again),)


async def _make(desk: Desk, incoming: Incoming, therapist: Therapist, known: dict[str, object]) -> None:
    plan = newcomers.empty_plan(
        nickname=str(known["nickname"]),
        born=date.fromisoformat(str(known["born"])),
        gestation_weeks=int(str(known["gestation"])),
        affected_side=str(known["side"]),
        time_zone=str(known["zone"]),
    )
    family_id = await newcomers.add_family(desk.conn, therapist_id=therapist.id, plan=plan, now=desk.now)
    await people.set_step(desk.conn, incoming.chat_id, None)
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="family made", now=desk.now, family_id=family_id
    )
    words = words_for(therapist.language)
    await edit_pressed(desk, incoming, words("setup.made", nickname=str(known["nickname"])))
    await inviting.pressed_family(desk, incoming, therapist, family_id)
