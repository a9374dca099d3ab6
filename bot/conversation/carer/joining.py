"""From an invitation to a carer who has joined: who they are, what is kept, yes or no, then the family's day.

Language comes with the invitation and can be changed by a tap on the first two messages, and later with /language.
Until the yes nothing that they write is kept. Each question can be left and comes back when they write again.
"""

from __future__ import annotations

from bot.conversation.carer import unkept
from bot.conversation.carer.roles import ROLES, UNASKED, is_day_care
from bot.conversation.day import day_shape
from bot.conversation.day.day_kept import say
from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.phrases import words_for
from bot.records import audit, day, invitations, people
from bot.records.invitations import Invitation
from bot.say import Button, Say, row

LONGEST_NAME = 40


async def try_code(desk: Desk, incoming: Incoming, code: str) -> bool:
    """Take an invitation code; return whether it was one. Wrong ones are limited to a few an hour."""
    if not await invitations.may_try(desk.conn, incoming.chat_id, desk.now):
        await _say(desk, incoming, "join.too_many_tries")
        return True
    invitation = await invitations.peek(desk.conn, code, desk.now)
    if invitation is None:
        if await _opened_twice(desk, incoming):
            return True
        await invitations.note_wrong(desk.conn, incoming.chat_id, desk.now)
        await _say(desk, incoming, "join.code_unknown")
        return False
    if await _is_elsewhere(desk, incoming, invitation):
        return True
    await invitations.accept(desk.conn, code, desk.now)
    if invitation.therapist_id is not None:
        await _seat_therapist(desk, incoming, invitation.therapist_id)
        return True
    assert invitation.family_id is not None and invitation.carer_id is not None
    carer = await people.carer(desk.conn, invitation.family_id, invitation.carer_id)
    family = await people.family(desk.conn, invitation.family_id)
    assert carer is not None and family is not None
    already = await people.carers_in_chat(desk.conn, incoming.chat_id)
    if already:
        language = already[0].language
    else:
        # A therapist's default or a phone's: where either is Spanish the talk begins so; a tap changes it.
        language = "es" if incoming.language.startswith("es") else carer.language
    await people.change_carer(desk.conn, carer, chat_id=incoming.chat_id, state="joining", language=language)
    await people.change_chat(desk.conn, incoming.chat_id, family_id=family.id, step=None, step_data=None)
    await begin(await Talk(desk, incoming, carer, family).renewed())
    return True


async def _opened_twice(desk: Desk, incoming: Incoming) -> bool:
    """A link tapped again by the one who used it: go on where they are."""
    carers = await people.carers_in_chat(desk.conn, incoming.chat_id)
    joining = next((carer for carer in carers if carer.state == "joining"), None)
    if joining is None:
        return False
    family = await people.family(desk.conn, joining.family_id)
    assert family is not None
    await begin(Talk(desk, incoming, joining, family))
    return True


async def _is_elsewhere(desk: Desk, incoming: Incoming, invitation: Invitation) -> bool:
    """Refuse, without using the code up, a chat that is somebody else's place already: words must never cross."""
    therapist = await people.therapist_in_chat(desk.conn, incoming.chat_id)
    if invitation.therapist_id is not None:
        taken = bool(await people.carers_in_chat(desk.conn, incoming.chat_id)) or (
            therapist is not None and therapist.id != invitation.therapist_id
        )
    else:
        taken = therapist is not None
        for other in [
            *await people.carers_in_chat(desk.conn, incoming.chat_id),
            *await people.left_in_chat(desk.conn, incoming.chat_id),
        ]:
            if other.family_id == invitation.family_id and other.id != invitation.carer_id:
                taken = taken or other.state != "left"
                if other.state == "left":
                    await people.change_carer(desk.conn, other, chat_id=None)
    if taken:
        await _say(desk, incoming, "join.for_someone_else")
    return taken


async def _seat_therapist(desk: Desk, incoming: Incoming, therapist_id: str) -> None:
    await people.seat_therapist(desk.conn, therapist_id, incoming.chat_id, desk.now)
    therapist = await people.therapist(desk.conn, therapist_id)
    assert therapist is not None
    words = words_for(therapist.language)
    await desk.say(
        Say(chat_id=incoming.chat_id, text=words("join.therapist_welcome", therapist=therapist.name))
    )
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what="joined", now=desk.now)


# ---------------------------------------------------------------- until the yes


async def begin(talk: Talk) -> None:
    """Ask who they are, or for consent where that is known or their therapist said it."""
    chat = await people.chat(talk.conn, talk.chat_id)
    if chat.step == "name":
        await say(talk, talk.words("join.ask_name"))
    elif talk.carer.role == UNASKED and "role" not in chat.data:
        await _ask_who(talk)
    else:
        await ask_consent(talk)


async def received(talk: Talk) -> None:
    """Somebody who has not agreed yet writes: advice for a worry, their name where it was asked, else the question."""
    incoming = talk.incoming
    if incoming.what == "press":
        await talk.note()
    else:
        await unkept.advise(
            talk.desk, talk.chat_id, incoming.text, talk.carer.language, family_id=talk.family.id
        )
    chat = await people.chat(talk.conn, talk.chat_id)
    name = " ".join(incoming.text.split())
    if (
        chat.step == "name"
        and incoming.what == "text"
        and not name.startswith("/")
        and 1 <= len(name) <= LONGEST_NAME
    ):
        await people.set_step(talk.conn, talk.chat_id, None, role="other", name=name)
        await ask_consent(talk)
        return
    await begin(talk)


async def _ask_who(talk: Talk) -> None:
    buttons = [Button(talk.words.plain(f"join.role_{role}"), f"who:{role}") for role in ROLES]
    await say(
        talk,
        talk.words("join.who", nickname=talk.family.nickname),
        (row(*buttons[:2]), row(*buttons[2:4]), row(buttons[4], _other_language(talk, "who"))),
    )


def _other_language(talk: Talk, verb: str) -> Button:
    return Button(talk.words.plain("join.other_language_button"), f"{verb}:language")


async def pressed_who(talk: Talk, argument: str) -> None:
    await talk.note()
    if talk.carer.state != "joining":
        return
    if argument == "language":
        await _ask_who(await _in_other_language(talk))
    elif argument == "other":
        await people.set_step(talk.conn, talk.chat_id, "name")
        await say(talk, talk.words("join.ask_name"))
    elif argument in ROLES:
        await people.set_step(talk.conn, talk.chat_id, None, role=argument)
        await ask_consent(talk)


async def _in_other_language(talk: Talk) -> Talk:
    other = "en" if talk.carer.language == "es" else "es"
    await people.change_carer(talk.conn, talk.carer, language=other)
    return await talk.renewed()


async def ask_consent(talk: Talk) -> None:
    """Say in plain words what is kept and who sees it, and ask."""
    clinic, therapist, words = talk.desk.clinic, await talk.therapist(), talk.words
    text = words(
        "join.consent",
        clinic=clinic.name,
        therapist=therapist.name,
        nickname=talk.family.nickname,
        emergency_line=clinic.emergency_line,
    )
    yes_or_no = row(
        Button(words.plain("join.yes_button"), "consent:yes"),
        Button(words.plain("join.no_button"), "consent:no"),
    )
    await say(talk, text, (yes_or_no, row(_other_language(talk, "consent"))))


async def pressed_consent(talk: Talk, argument: str) -> None:
    await talk.note()
    if argument == "language":
        await ask_consent(await _in_other_language(talk))
    elif argument == "yes" and talk.carer.state == "joining":
        await _agreed(talk)
    elif argument == "no" and talk.carer.state == "joining":
        await _declined(talk)


async def _agreed(talk: Talk) -> None:
    said = (await people.chat(talk.conn, talk.chat_id)).data
    told = {name: said[name] for name in ("role", "name") if name in said}
    await people.change_carer(talk.conn, talk.carer, state="active", consented_at=talk.now, **told)
    await people.set_step(talk.conn, talk.chat_id, None)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    await audit.note(
        talk.conn,
        who=f"carer:{talk.family.id}/{talk.carer.id}",
        what="consented",
        now=talk.now,
        family_id=talk.family.id,
    )
    talk = await talk.renewed()
    therapist = await talk.therapist()
    key = "join.welcome_day_care" if is_day_care(talk.carer) else "join.welcome"
    await say(talk, talk.words(key, nickname=talk.family.nickname, therapist=therapist.name))
    words = words_for(therapist.language)
    await talk.desk.tell_therapist(
        therapist, words("therapist.carer_joined", carer=talk.carer.name, nickname=talk.family.nickname)
    )
    if not is_day_care(talk.carer):
        await day_shape.begin(
            Talk(talk.desk, unpressed(talk.incoming), talk.carer, talk.family, talk.several)
        )


def unpressed(incoming: Incoming) -> Incoming:
    """Return who did it and where, without the press: what is said next is a message of its own."""
    return Incoming(
        what="text",
        chat_id=incoming.chat_id,
        at=incoming.at,
        private=incoming.private,
        user_id=incoming.user_id,
        language=incoming.language,
    )


async def _declined(talk: Talk) -> None:
    """Nothing of who they said they were stays, and nothing ties the chat to the family."""
    await say(talk, talk.words("join.declined"))
    await people.set_step(talk.conn, talk.chat_id, None)
    await people.change_carer(talk.conn, talk.carer, state="left", gets_prompts=False, chat_id=None)
    await audit.note(
        talk.conn,
        who=f"carer:{talk.family.id}/{talk.carer.id}",
        what="declined",
        now=talk.now,
        family_id=talk.family.id,
    )


async def language_asked(talk: Talk) -> None:
    """/language: the other one, in every chat of this carer's babies, by the next message."""
    other = "en" if talk.carer.language == "es" else "es"
    for carer in await people.carers_in_chat(talk.conn, talk.chat_id):
        await people.change_carer(talk.conn, carer, language=other)
    await talk.desk.say(
        Say(chat_id=talk.chat_id, family=talk.family.id, text=words_for(other)("join.language_now"))
    )


async def _say(desk: Desk, incoming: Incoming, key: str) -> None:
    words = words_for(incoming.language)
    await desk.say(Say(chat_id=incoming.chat_id, text=words(key)))
