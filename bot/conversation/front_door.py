"""Everything that anybody does comes in here, and goes on by who they are.

A therapist's chat goes to therapist_desk; a carer's to the modules of what carers do; a stranger gets one polite line
and no data.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.ext.asyncio import AsyncConnection

from bot.activities.library import Library
from bot.clock import Clock
from bot.conversation import unhandled, worrying
from bot.conversation.carer import (
    asking,
    babies,
    chatter,
    confidence,
    count_buttons,
    duty,
    editing,
    groups,
    joining,
    load,
    pausing,
    refreshing,
    reminding,
    replying,
    rights,
    their_day,
    travel,
    twins,
    unkept,
    unsure,
)
from bot.conversation.carer.roles import is_day_care
from bot.conversation.day import day_shape
from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import therapist_desk
from bot.phrases import words_for
from bot.records import log, people
from bot.records.invitations import looks_like_code
from bot.records.people import Carer, Clinic
from bot.say import Say

Pressed = Callable[[Talk, str], Awaitable[None]]

# What each button of a carer does, by the verb in its data.
PRESSED: dict[str, Pressed] = {
    "done": reminding.pressed_done,
    "mins": reminding.pressed_minutes,
    "did": reminding.pressed_did,
    "later": reminding.pressed_later,
    "asleep": reminding.pressed_asleep,
    "notnow": reminding.pressed_not_now,
    "why": reminding.pressed_why,
    "back": reminding.pressed_back,
    "show": reminding.pressed_show,
    "undo": count_buttons.pressed_undo,
    "redo": count_buttons.pressed_redo,
    "change": count_buttons.pressed_change,
    "changeone": count_buttons.pressed_change_one,
    "set": count_buttons.pressed_set,
    "side": count_buttons.pressed_side,
    "keep": count_buttons.pressed_keep,
    "count": unsure.pressed_count,
    "drop": unsure.pressed_drop,
    "which": unsure.pressed_which,
    "one": twins.pressed_one,
    "two": twins.pressed_two,
    "sure": confidence.pressed_sure,
    "nottell": confidence.pressed_not_tell,
    "how": refreshing.pressed_how,
    "ask": asking.pressed_ask,
    "again": asking.pressed_back,
    "worry": worrying.pressed_worry,
    "noworry": worrying.pressed_no_worry,
    "awake": pausing.pressed_awake,
    "pause": pausing.pressed_pause,
    "load": load.pressed_load,
    "resume": pausing.pressed_resume,
    "remindersback": their_day.pressed_back_on,
    "leave": rights.pressed_leave,
    "rights": rights.pressed,
    "who": joining.pressed_who,
    "consent": joining.pressed_consent,
    "shape": day_shape.pressed,
    "zone": travel.pressed_zone,
    "travel": travel.pressed,
    "duty": duty.pressed,
    "baby": babies.pressed_baby,
}
BEFORE_CONSENT = {"who", "consent"}
# Commands that are done for each baby of a chat that has several.
FOR_EACH_BABY = {
    "/today",
    "/week",
    "/pause",
    "/resume",
    "/stop",
    "/leave",
    "/day",
    "/privacy",
    "/duty",
}

STRANGER_AGAIN = timedelta(hours=12)


class FrontDoor:
    """Receives what people do, within the transaction of the update that brought it."""

    def __init__(self, clock: Clock, library: Library, *, bot_name: str | None = None) -> None:
        self._clock, self._library, self._bot_name = clock, library, bot_name

    async def desk(self, conn: AsyncConnection) -> Desk | None:
        """Return a desk at the present moment; None where no clinic was loaded yet."""
        clinic: Clinic | None = await people.clinic(conn)
        if clinic is None:
            return None
        slack = timedelta(seconds=3 * self._clock.speed) if self._clock.speed > 1 else timedelta()
        return Desk(conn, self._clock.now(), clinic, self._library, self._bot_name, slack)

    def now(self) -> datetime:
        return self._clock.now()

    async def not_handled(self, conn: AsyncConnection, raw: Mapping[str, Any]) -> None:
        """Pass on the words of an update that could not be handled, read from its raw form."""
        desk = await self.desk(conn)
        if desk is not None:
            await unhandled.pass_on(desk, raw)

    async def receive(self, conn: AsyncConnection, incoming: Incoming) -> None:
        """Act on one thing that a person did."""
        desk = await self.desk(conn)
        if desk is None:
            return
        if not incoming.private:
            talk = await groups.talk_in(desk, incoming)
            if talk is not None:
                await _act(talk)
            return
        if incoming.what == "blocked":
            await people.chat_unreachable(conn, incoming.chat_id, desk.now)
            return
        await people.chat_reachable(conn, incoming.chat_id)
        if incoming.what in ("unblocked", "joined_group"):
            return
        code = _invitation_code(incoming)
        if code is not None:
            await joining.try_code(desk, incoming, code)
            return
        therapist = await people.therapist_in_chat(conn, incoming.chat_id)
        if therapist is not None:
            await therapist_desk.receive(desk, incoming, therapist)
            return
        carers = await people.carers_in_chat(conn, incoming.chat_id)
        if not carers:
            await _outsider(desk, incoming)
            return
        await _carer(desk, incoming, carers)


def _invitation_code(incoming: Incoming) -> str | None:
    """Return the code of an opened invitation link (/start CODE), or of a printed one typed in."""
    if incoming.what != "text":
        return None
    words = incoming.text.split()
    if words and words[0].lower() == "/start":
        code = "".join(words[1:])
        return code if len(words) == 2 or looks_like_code(code) else None
    return incoming.text if looks_like_code(incoming.text) else None


async def _carer(desk: Desk, incoming: Incoming, carers: list[Carer]) -> None:
    if len(carers) > 1 and await _for_several(desk, incoming, carers):
        return
    talk = await babies.talk(desk, incoming, carers)
    if talk.carer.state == "joining" and incoming.data.partition(":")[0] not in BEFORE_CONSENT:
        await joining.received(talk)
        return
    await _act(talk)


async def _for_several(desk: Desk, incoming: Incoming, carers: list[Carer]) -> bool:
    """Do what a chat with several babies needs each for, or ask which is meant; return whether that was all."""
    active = [carer for carer in carers if carer.state == "active"]
    if len(active) >= 2 and incoming.what == "edited":
        edited = await babies.edits(desk, incoming, active)
        for talk in edited:
            await editing.read_edited(talk)
        return bool(edited)
    if len(active) < 2 or incoming.what != "text":
        return False
    talks = [await babies.talk_about(desk, incoming, carer) for carer in active]
    command = incoming.text.split()[0].lower().partition("@")[0] if incoming.text.startswith("/") else None
    if command is not None and not await _worries(talks[0]):
        if command in FOR_EACH_BABY:
            for talk in talks:
                await _command(talk)
        return command in FOR_EACH_BABY
    if incoming.reply_to is not None:
        return False
    meant = await babies.meant(talks)
    if len(meant) == 1:
        await people.change_chat(desk.conn, incoming.chat_id, family_id=meant[0].family.id)
        await _act(meant[0])
    else:
        await babies.ask_which(meant)
    return True


async def _act(talk: Talk) -> None:
    """Do what a carer did, once it is known about which baby."""
    incoming = talk.incoming
    await people.change_family(talk.conn, talk.family.id, heard_at=talk.now)
    match incoming.what:
        case "press":
            verb, _, argument = incoming.data.partition(":")
            pressed = PRESSED.get(verb)
            if pressed is None:
                await talk.note(talk.words("edge.old_button"))
            else:
                await pressed(talk, argument)
        case "text" if incoming.text.startswith("/"):
            await _command(talk)
        case "text":
            await replying.read_message(talk)
        case "reaction":
            await replying.read_sign(talk, incoming.emoji)
        case "sticker" if await replying.read_sign(talk, incoming.emoji):
            return
        case "other" if incoming.text:
            await replying.read_message(talk)
        case "edited":
            await editing.read_edited(talk)
        case "photo" | "video" | "voice" | "document":
            await asking.received_file(talk)
            if incoming.text:
                await replying.read_message(talk)
        case _:
            await _unreadable(talk)


async def _unreadable(talk: Talk) -> None:
    """A sticker, a place, a contact: noted, and answered with what works."""
    incoming = talk.incoming
    if incoming.message_id is None or await log.message_in_chat(talk.conn, talk.chat_id, incoming.message_id):
        return
    await log.keep_message(
        talk.conn,
        chat_id=talk.chat_id,
        message_id=incoming.message_id,
        kind=incoming.what,
        text="",
        at=incoming.at,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
    )
    await talk.answer(talk.words("edge.words_please"))


async def _worries(talk: Talk) -> bool:
    if " " not in talk.incoming.text.strip():
        return False
    reading = await replying.reading_of(talk)
    return reading.concern is not None or reading.unclear is not None


async def _command(talk: Talk) -> None:
    """Do what a command of a carer asks; words after it that tell a worry go first ("/today he is blue")."""
    if await _worries(talk):
        await replying.read_message(talk)
        return
    command, _, rest = ("/" + talk.incoming.text.lstrip("/ ")).partition(" ")
    match command.lower().partition("@")[0]:
        case "/start" if talk.family.shape_told_at is None and not is_day_care(talk.carer):
            await day_shape.begin(talk)
        case "/start" | "/help":
            await their_day.help_shown(talk)
        case "/today":
            await their_day.today(talk)
        case "/week":
            await their_day.week(talk)
        case "/howto" if rest.strip():
            await replying.howto(talk, rest.strip())
        case "/howto":
            await refreshing.choose(talk)
        case "/pause":
            text, buttons = await pausing.pause(talk, None)
            await talk.answer(text, buttons=buttons)
        case "/resume":
            await talk.answer(await pausing.resume(talk))
        case "/stop":
            await their_day.stop_offered(talk)
        case "/leave":
            await rights.leave(talk)
        case "/privacy":
            await rights.shown(talk)
        case "/day":
            await day_shape.show(talk)
        case "/duty":
            await duty.asked(talk)
        case "/travel":
            await travel.offered(talk)
        case "/language":
            await joining.language_asked(talk)
        case _:
            await chatter.unknown_command(talk)


async def _outsider(desk: Desk, incoming: Incoming) -> None:
    """Somebody who left keeps their rights; a stranger gets one polite line. An urgent sign gets its advice from both."""
    if incoming.text and await unkept.advise(desk, incoming.chat_id, incoming.text, incoming.language):
        return
    left = await people.left_in_chat(desk.conn, incoming.chat_id)
    wants = incoming.data.startswith("rights:") or incoming.text.strip().lower().startswith("/privacy")
    if left and wants:
        talk = await babies.talk(desk, incoming, left)
        if incoming.press is not None:
            await rights.pressed(talk, incoming.data.partition(":")[2])
        else:
            await rights.shown(talk)
        return
    await _stranger(desk, incoming)


async def _stranger(desk: Desk, incoming: Incoming) -> None:
    """One polite line, not more than twice a day, and nothing kept of what they wrote."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    words = words_for(incoming.language)
    if incoming.press is not None:
        await desk.say(Say(chat_id=incoming.chat_id, press=incoming.press, kind="press"))
    if chat.stranger_told_at is not None and desk.now - chat.stranger_told_at < STRANGER_AGAIN:
        return
    await people.change_chat(desk.conn, incoming.chat_id, stranger_told_at=desk.now)
    await desk.say(Say(chat_id=incoming.chat_id, text=words("edge.stranger")))
