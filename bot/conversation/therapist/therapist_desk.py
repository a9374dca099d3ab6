"""Where everything that a therapist does comes in, and which part of their desk it goes to."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from bot.conversation.carer import groups
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan import plan_building, plan_told
from bot.conversation.therapist import (
    answering,
    audit_shown,
    caseload,
    clinic_desk,
    cover_talk,
    discharging,
    handing_over,
    inviting,
    quieting,
    setting_up,
    settling,
    teaching,
    tracing,
    writing,
)
from bot.conversation.therapist.therapist_talk import Act, say
from bot.phrases import words_for
from bot.records import people
from bot.records.people import Therapist
from bot.say import Say

Step = Callable[[Desk, Incoming, Therapist], Awaitable[None]]


async def receive(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Act on one thing that a therapist did."""
    desk.asked_by = therapist.id
    match incoming.what:
        case "press":
            await _pressed(desk, incoming, therapist)
        case "text" if incoming.text.startswith("/"):
            await _command(desk, incoming, therapist)
        case "text" | "photo" | "video" | "voice" | "document":
            await _wrote(desk, incoming, therapist)
        case "edited":
            await answering.edited(desk, incoming, therapist)
        case _:
            await help_shown(desk, incoming, therapist, "")


async def help_shown(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    await say(desk, incoming, words_for(therapist.language)("therapist.help"))


async def _pressed(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    if incoming.press is not None:
        await desk.say(Say(chat_id=incoming.chat_id, press=incoming.press, kind="press"))
    verb, _, argument = incoming.data.partition(":")
    pressed = PRESSED.get(verb)
    if pressed is None:
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
    else:
        await pressed(desk, incoming, therapist, argument)


async def _command(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Do a command; a short talk of several steps that was under way is left by it."""
    if (await people.chat(desk.conn, incoming.chat_id)).step in LEFT_BY_COMMANDS:
        await people.set_step(desk.conn, incoming.chat_id, None)
    command, _, rest = incoming.text.partition(" ")
    act = COMMANDS.get(command.lower().partition("@")[0], help_shown)
    await act(desk, incoming, therapist, rest.strip())


async def _wrote(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """Words or a file of a therapist: an answer to what they quote, else to what was asked last, else help."""
    about = await answering.about_quoted(desk, incoming)
    if incoming.what == "text" and about is None and await tracing.asked_in_words(desk, incoming, therapist):
        return
    # A plan's draft is the only thing quoted that must not go out to anybody as an answer.
    if incoming.what == "text" and await plan_building.wrote(desk, incoming, therapist, about):
        return
    # A quote says whom it is for, whatever was asked last.
    if about is not None and await answering.answer(desk, incoming, therapist, about):
        return
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.step == "answer":
        await writing.words_written(desk, incoming, therapist, str(chat.data["about"]))
    elif chat.step in STEPS and incoming.what == "text":
        await STEPS[chat.step](desk, incoming, therapist)
    elif incoming.what in teaching.KINDS:
        await teaching.received(desk, incoming, therapist)
    elif incoming.what == "text" and await clinic_desk.wrote(desk, incoming, therapist):
        return
    else:
        await help_shown(desk, incoming, therapist, "")


async def _group(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    await groups.choose(desk, incoming, therapist)


async def _cancel(desk: Desk, incoming: Incoming, therapist: Therapist, asked: str) -> None:
    await say(desk, incoming, words_for(therapist.language)("therapist.cancelled"))


COMMANDS: dict[str, Act] = {
    **clinic_desk.COMMANDS,
    "/families": caseload.families,
    "/write": writing.write,
    "/plan": plan_building.command,
    "/plans": plan_told.plan,
    "/material": teaching.command,
    "/group": _group,
    "/invite": inviting.invite,
    "/newfamily": setting_up.new_family,
    "/handover": handing_over.hand_over,
    "/cover": cover_talk.cover,
    "/quiet": quieting.quiet,
    "/audit": audit_shown.shown,
    "/cancel": _cancel,
    "/help": help_shown,
}

# What a message answers, by the step at which a talk stands ("answer" takes files too, see _wrote).
STEPS: dict[str, Step] = {
    "invite": inviting.name_written,
    "invitecolleague": inviting.colleague_written,
    "newfamily": setting_up.written,
    "cover": cover_talk.dates_written,
}

LEFT_BY_COMMANDS = {"answer", "grade", "page", handing_over.STEP, *STEPS}

PRESSED: dict[str, Act] = {
    **clinic_desk.PRESSED,
    "seen": settling.pressed_seen,
    "called": settling.pressed_called,
    "wrong": settling.pressed_wrong,
    "advice": settling.pressed_advice,
    "answer": writing.pressed_answer,
    "reply": writing.pressed_reply,
    "write": writing.pressed_write,
    "fams": caseload.pressed_page,
    "fam": caseload.pressed_card,
    "open": caseload.pressed_open,
    "planshow": plan_told.pressed_show,
    "plan": plan_building.pressed_family,
    "pd": plan_building.pressed,
    "group": groups.pressed_allow,
    "mat": teaching.pressed,
    "matlist": teaching.pressed_list,
    "matshow": teaching.pressed_show,
    "matback": teaching.pressed_back,
    "audit": audit_shown.pressed,
    "invite": inviting.pressed_family,
    "inviterole": inviting.pressed_role,
    "inviteagain": inviting.pressed_again,
    "invitecolleague": inviting.pressed_colleague,
    "newfamily": setting_up.pressed_new,
    "nf": setting_up.pressed_answer,
    "handover": handing_over.pressed_family,
    "ho": handing_over.pressed_colleague,
    "hoyes": handing_over.pressed_accept,
    "hono": handing_over.pressed_decline,
    "cover": cover_talk.pressed_cover,
    "coverdays": cover_talk.pressed_days,
    "coverend": cover_talk.pressed_end,
    "coverno": cover_talk.pressed_decline,
    "coverdigest": cover_talk.pressed_digest,
    "coverpdf": cover_talk.pressed_pdf,
    "quietoff": quieting.pressed_off,
    "dis": discharging.pressed_first,
    "dissure": discharging.pressed_sure,
    "disnow": discharging.pressed_now,
    "disno": discharging.pressed_no,
    "disback": discharging.pressed_back,
}
