"""From an invitation to a carer who consented: who they are, what is kept, and yes or no."""

from __future__ import annotations

from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.phrases import words_for
from bot.records import audit, day, invitations, people
from bot.say import Button, Say, row


async def try_code(desk: Desk, incoming: Incoming, code: str) -> bool:
    """Take an invitation code; return whether it was one. Wrong ones are limited to a few an hour."""
    if not await invitations.may_try(desk.conn, incoming.chat_id, desk.now):
        await _say(desk, incoming, "join.too_many_tries")
        return True
    invitation = await invitations.accept(desk.conn, code, desk.now)
    if invitation is None:
        await invitations.note_wrong(desk.conn, incoming.chat_id, desk.now)
        await _say(desk, incoming, "join.code_unknown")
        return False
    if invitation.therapist_id is not None:
        await people.seat_therapist(desk.conn, invitation.therapist_id, incoming.chat_id, desk.now)
        therapist = await people.therapist(desk.conn, invitation.therapist_id)
        assert therapist is not None
        words = words_for(therapist.language)
        await desk.say(
            Say(chat_id=incoming.chat_id, text=words("join.therapist_welcome", therapist=therapist.name))
        )
        await audit.note(desk.conn, who=f"therapist:{therapist.id}", what="joined", now=desk.now)
        return True
    assert invitation.family_id is not None and invitation.carer_id is not None
    carer = await people.carer(desk.conn, invitation.family_id, invitation.carer_id)
    family = await people.family(desk.conn, invitation.family_id)
    assert carer is not None and family is not None
    await people.change_carer(desk.conn, carer, chat_id=incoming.chat_id, state="joining")
    await people.change_chat(desk.conn, incoming.chat_id, family_id=family.id, step=None, step_data=None)
    carer = await people.carer(desk.conn, invitation.family_id, invitation.carer_id)
    assert carer is not None
    await ask_consent(Talk(desk, incoming, carer, family))
    return True


async def ask_consent(talk: Talk) -> None:
    """Say in plain words what is kept and who sees it, and ask."""
    clinic, therapist, words = talk.desk.clinic, await talk.therapist(), talk.words
    await talk.answer(
        words(
            "join.consent",
            clinic=clinic.name,
            therapist=therapist.name,
            nickname=talk.family.nickname,
            emergency_line=clinic.emergency_line,
        ),
        buttons=(
            row(
                Button(words.plain("join.yes_button"), "consent:yes"),
                Button(words.plain("join.no_button"), "consent:no"),
            ),
            row(Button(words.plain("join.other_language_button"), "consent:language")),
        ),
    )


async def pressed_consent(talk: Talk, argument: str) -> None:
    await talk.note()
    who = f"carer:{talk.family.id}/{talk.carer.id}"
    match argument:
        case "language":
            other = "en" if talk.carer.language == "es" else "es"
            await people.change_carer(talk.conn, talk.carer, language=other)
            carer = await people.carer(talk.conn, talk.family.id, talk.carer.id)
            assert carer is not None
            await ask_consent(Talk(talk.desk, talk.incoming, carer, talk.family, talk.several))
        case "yes" if talk.carer.state != "active":
            await people.change_carer(talk.conn, talk.carer, state="active", consented_at=talk.now)
            await day.plan_anew(talk.conn, talk.family.id, talk.now)
            await audit.note(talk.conn, who=who, what="consented", now=talk.now, family_id=talk.family.id)
            therapist = await talk.therapist()
            await talk.answer(
                talk.words("join.welcome", nickname=talk.family.nickname, therapist=therapist.name)
            )
            words = words_for(therapist.language)
            await talk.desk.tell_therapist(
                therapist,
                words("therapist.carer_joined", carer=talk.carer.name, nickname=talk.family.nickname),
            )
        case "no":
            await people.change_carer(talk.conn, talk.carer, state="left", gets_prompts=False)
            await audit.note(talk.conn, who=who, what="declined", now=talk.now, family_id=talk.family.id)
            await talk.answer(talk.words("join.declined"))
        case _:
            return


async def _say(desk: Desk, incoming: Incoming, key: str) -> None:
    words = words_for(incoming.language)
    await desk.say(Say(chat_id=incoming.chat_id, text=words(key)))
