"""Everything that anybody does comes in here, and goes on by who they are.

A therapist's chat goes to therapist_desk; a carer's to the modules of what carers do; a stranger gets one polite line
and no data.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import timedelta

from sqlalchemy.ext.asyncio import AsyncConnection

from bot.activities.library import Library
from bot.clock import Clock
from bot.conversation import (
    asking,
    confidence,
    count_buttons,
    editing,
    joining,
    load,
    pausing,
    prompted,
    refreshing,
    reminding,
    replying,
    their_day,
    therapist_desk,
    twins,
    unsure,
    worrying,
)  # fmt: skip
from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.phrases import words_for
from bot.records import confidences, day, log, outbox, people, worries
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
    "worry": worrying.pressed_worry,
    "noworry": worrying.pressed_no_worry,
    "awake": pausing.pressed_awake,
    "pause": pausing.pressed_pause,
    "load": load.pressed_load,
    "resume": pausing.pressed_resume,
    "remindersback": their_day.pressed_back_on,
    "leave": their_day.pressed_leave,
    "consent": joining.pressed_consent,
}
OF_REMINDER = {"done", "mins", "did", "later", "asleep", "notnow", "why", "back", "show"}
OF_SESSION = {
    "undo", "redo", "change", "changeone", "set", "side", "keep", "count", "drop", "which", "one", "two",
}  # fmt: skip
OF_CONCERN = {"worry", "noworry"}
OF_CONFIDENCE = {"sure", "nottell"}

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

    async def receive(self, conn: AsyncConnection, incoming: Incoming) -> None:
        """Act on one thing that a person did."""
        desk = await self.desk(conn)
        if desk is None:
            return
        if not incoming.private:
            await _in_group(desk, incoming)
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
            await _stranger(desk, incoming)
            return
        await _carer(desk, incoming, carers)


def _invitation_code(incoming: Incoming) -> str | None:
    """Return the code of an opened invitation link (/start CODE), or of a printed one typed in."""
    if incoming.what != "text":
        return None
    words = incoming.text.split()
    if len(words) >= 2 and words[0].lower() == "/start":
        return "".join(words[1:])
    return None


async def _carer(desk: Desk, incoming: Incoming, carers: list[Carer]) -> None:
    talk = await _talk(desk, incoming, carers)
    await people.change_family(desk.conn, talk.family.id, heard_at=desk.now)
    if talk.carer.state == "joining" and not incoming.data.startswith("consent:"):
        await talk.note()
        await joining.ask_consent(talk)
        return
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


async def _talk(desk: Desk, incoming: Incoming, carers: list[Carer]) -> Talk:
    """Find out which baby a chat with several is about: by the button or quote, by name, else the last talked about."""
    chosen = carers[0]
    if len(carers) > 1:
        family_id = await _family_meant(desk, incoming, carers)
        chosen = next((carer for carer in carers if carer.family_id == family_id), carers[0])
        await people.change_chat(desk.conn, incoming.chat_id, family_id=chosen.family_id)
    family = await people.family(desk.conn, chosen.family_id)
    assert family is not None
    return Talk(desk, incoming, chosen, family, several=len(carers) > 1)


async def _family_meant(desk: Desk, incoming: Incoming, carers: list[Carer]) -> str | None:
    verb, _, argument = incoming.data.partition(":")
    number = argument.partition(":")[0]
    if number.isdigit():
        if verb in OF_REMINDER and (reminder := await day.reminder(desk.conn, int(number))):
            return reminder.family_id
        if verb in OF_SESSION and (session := await log.session(desk.conn, int(number))):
            return session.family_id
        if verb in OF_CONCERN and (concern := await worries.concern(desk.conn, int(number))):
            return concern.family_id
        if verb in OF_CONFIDENCE and (asked := await confidences.asked(desk.conn, int(number))):
            return asked.family_id
    if incoming.reply_to is not None:
        quoted = await outbox.said_as(desk.conn, incoming.chat_id, incoming.reply_to)
        if quoted and quoted.about and quoted.about.startswith("reminder:"):
            reminder = await day.reminder(desk.conn, int(quoted.about.removeprefix("reminder:")))
            if reminder:
                return reminder.family_id
    said = incoming.text.casefold()
    for carer in carers:
        family = await people.family(desk.conn, carer.family_id)
        if family and family.nickname.casefold() in said:
            return family.id
    newest = None
    for carer in carers:
        since = desk.now - prompted.ANSWERS_WITHIN
        reminder = await day.open_reminder(desk.conn, carer.family_id, since=since)
        if reminder and reminder.sent_at and (newest is None or reminder.sent_at > newest[0]):
            newest = (reminder.sent_at, carer.family_id)
    if newest:
        return newest[1]
    return (await people.chat(desk.conn, incoming.chat_id)).family_id


async def _command(talk: Talk) -> None:
    """Do what a command of a carer asks."""
    command, _, rest = talk.incoming.text.partition(" ")
    match command.lower().partition("@")[0]:
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
            await their_day.leave(talk)
        case _:
            # An unknown command may still carry a worry: "/ he is blue".
            await replying.read_message(talk)


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


async def _in_group(desk: Desk, incoming: Incoming) -> None:
    """A group is refused once, politely; a family's words belong in a private chat."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.stranger_told_at is None:
        await people.change_chat(desk.conn, incoming.chat_id, stranger_told_at=desk.now)
        await desk.say(Say(chat_id=incoming.chat_id, text=words_for(incoming.language)("edge.no_groups")))
