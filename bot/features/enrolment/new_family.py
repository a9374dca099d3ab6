"""A new family, set up in a few messages: nickname, born, gestation, side, and then an empty plan.

All may come in one line, or one by one; only what is missing is asked. The family lives on the clinic's time unless the
therapist says where else before it is made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from bot.domain.actor import Actor
from bot.domain.json_value import JsonValue
from bot.domain.names import folded
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Therapist
from bot.features import verbs
from bot.features.access import access
from bot.features.access.family_choice import edit_pressed, say, short
from bot.features.access.family_lookup import families_seen
from bot.features.context import Context
from bot.features.enrolment import invitations
from bot.features.enrolment.family_answers import ASKED, read_answers, zones_offered
from bot.features.events import ButtonPressed, Event, TextWritten
from bot.features.formats import date_shown
from bot.parsing.answers import says_yes
from bot.parsing.baby_line import SIDES
from bot.parsing.stay import city_of
from bot.phrases import Words, words_for
from bot.storage import registration

STEP = "newfamily"
TERM = 40


def new_family(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    """/newfamily [what is known of the baby]: begin, anew where such a talk was left."""
    context.uow.chats.start_dialog(event.chat_id, STEP, {"at": "nickname", "zone": context.clinic.zone.key})
    words = words_for(therapist.language)
    if asked.strip():
        _took(context, event, therapist, "nickname", asked)
    else:
        say(context, event, words("setup.ask_nickname"))


def pressed_new(context: Context, event: Event, therapist: Therapist) -> None:
    new_family(context, event, therapist, "")


def written(context: Context, event: TextWritten, therapist: Therapist) -> None:
    """The step "newfamily": the answer to what was asked last."""
    dialog = context.uow.chats.get(event.chat_id).dialog
    at = dialog.text("at") or ""
    if at == "make" and says_yes(event.text):
        _make(context, event, therapist, dialog.data)
    else:
        _took(context, event, therapist, at, event.text)


def pressed_answer(
    context: Context, event: Event, therapist: Therapist, field: str, value: str | None
) -> None:
    """A tap in place of words: a side, the clinic's zone ("here"), weeks; or making the family, or beginning again."""
    dialog = context.uow.chats.get(event.chat_id).dialog
    if dialog.step != STEP:
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    at = dialog.text("at")
    if field == "make" and at == "make":
        _make(context, event, therapist, dialog.data)
    elif field == "again":
        new_family(context, event, therapist, "")
    elif field == "zone" and value is None and at == "make":
        _ask(context, event, therapist, {**dialog.data, "at": "zone"})
    elif field == at:
        _took(context, event, therapist, field, context.clinic.zone.key if value == "here" else value or "")
    else:
        say(context, event, words_for(therapist.language)("edge.old_button"))


def _took(context: Context, event: Event, therapist: Therapist, field: str, text: str) -> None:
    """Keep what a message tells and ask the next thing; an answer that cannot be read is asked for once more."""
    words = words_for(therapist.language)
    told = read_answers(field, text, access.clinic_day(context))
    if not told and field == "zone" and (zones := zones_offered(text)):
        say(context, event, words("setup.which_zone"), _zone_buttons(zones, therapist.language))
        return
    if not told:
        key = f"setup.not_{field}" if field in ASKED else "setup.tap_make"
        say(context, event, words(key, text=text.strip()[:60]))
        return
    known = {**context.uow.chats.get(event.chat_id).dialog.data, **told}
    following = next((each for each in ASKED if each not in known), "make")
    _ask(context, event, therapist, {**known, "at": following})


def _ask(context: Context, event: Event, therapist: Therapist, known: Mapping[str, JsonValue]) -> None:
    context.uow.chats.start_dialog(event.chat_id, STEP, known)
    words = words_for(therapist.language)
    question, buttons = _question(str(known["at"]), known, words, context)
    if known["at"] == "make" and _has_one(context, therapist, str(known["nickname"])):
        question = words("setup.same_baby", nickname=str(known["nickname"])) + "\n\n" + question
    say(context, event, question, buttons)


def _has_one(context: Context, therapist: Therapist, nickname: str) -> bool:
    """Say whether a therapist has a baby of that name already: the same one made twice, or two to be told apart."""
    return any(folded(each.nickname) == folded(nickname) for each in families_seen(context, therapist))


def _zone_buttons(zones: Sequence[str], language: str) -> Buttons:
    return tuple(
        row(Button(short(city_of(zone, language)), verbs.NEW_FAMILY_ANSWER.data("zone", zone)))
        for zone in zones
    )


def _question(
    field: str, known: Mapping[str, JsonValue], words: Words, context: Context
) -> tuple[str, Buttons]:
    nickname = str(known["nickname"])
    match field:
        case "born":
            return words("setup.ask_born", nickname=nickname), ()
        case "gestation":
            term = Button(
                words.plain("setup.term_button", n=TERM), verbs.NEW_FAMILY_ANSWER.data("gestation", str(TERM))
            )
            return words("setup.ask_gestation"), (row(term),)
        case "side":
            buttons = [
                Button(words.plain(f"setup.side_{side}"), verbs.NEW_FAMILY_ANSWER.data("side", side))
                for side in SIDES
            ]
            return words("setup.ask_side"), (row(*buttons),)
        case "zone":
            here = Button(words.plain("setup.zone_button"), verbs.NEW_FAMILY_ANSWER.data("zone", "here"))
            return words("setup.ask_zone", zone=context.clinic.zone.key), (row(here),)
        case _:
            side = words.plain(f"setup.side_{known['side']}")
            text = words(
                "setup.check",
                nickname=nickname,
                born=date_shown(date.fromisoformat(str(known["born"])), words),
                gestation=known["gestation"],
                side=side,
                zone=known["zone"],
            )
            make = Button(words.plain("setup.make_button"), verbs.NEW_FAMILY_ANSWER.data("make", None))
            elsewhere = Button(words.plain("setup.elsewhere"), verbs.NEW_FAMILY_ANSWER.data("zone", None))
            again = Button(words.plain("setup.again"), verbs.NEW_FAMILY_ANSWER.data("again", None))
            return text, (row(make), row(elsewhere, again))


def _make(context: Context, event: Event, therapist: Therapist, known: Mapping[str, JsonValue]) -> None:
    plan = registration.empty_plan(
        nickname=str(known["nickname"]),
        born=date.fromisoformat(str(known["born"])),
        gestation_weeks=int(str(known["gestation"])),
        affected_side=str(known["side"]),
        time_zone=str(known["zone"]),
    )
    family_id = registration.add_family(context.uow, therapist_id=therapist.id, plan=plan, now=context.now)
    context.uow.chats.end_dialog(event.chat_id)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="family made", now=context.now, family_id=family_id
    )
    words = words_for(therapist.language)
    made = words("setup.made", nickname=str(known["nickname"]))
    if isinstance(event, ButtonPressed):
        edit_pressed(context, event, made)
    else:
        say(context, event, made)
    invitations.pressed_family(context, event, therapist, family_id)
