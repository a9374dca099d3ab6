"""A carer's rights: what is kept and who sees it, their copy, erasure after a second question, and leaving at once.

They outlast leaving: who left may still ask for a copy or for erasure from the same chat.

Erasing takes the carer's words, worries and name. The baby's minutes stay, nameless, while others still care for the baby:
the plan is reckoned from them. The last of the family may erase everything. What stays after that is the log of who saw
or did what, without words, because a clinic must be able to answer for it.
"""

from __future__ import annotations

import json

from bot.concerns.finding import URGENCIES
from bot.conversation.carer import counting
from bot.conversation.carer.copy_page import copy_page
from bot.conversation.carer.roles import is_day_care, is_group
from bot.conversation.desk import Talk
from bot.phrases import words_for
from bot.records import audit, erase, people
from bot.records.copy import copy_of
from bot.say import Attachment, Button, Buttons, Say, row


async def shown(talk: Talk) -> None:
    """/privacy: what is kept, who sees it, and what they can ask for."""
    therapist = await talk.therapist()
    text = talk.words(
        "rights.what_is_kept",
        therapist=therapist.name,
        clinic=talk.desk.clinic.name,
        nickname=talk.family.nickname,
    )
    rows = [
        row(_button(talk, "copy_button", "rights:copy")),
        row(_button(talk, "erase_button", "rights:erase")),
    ]
    if await _is_last(talk):
        rows.append(row(_button(talk, "erase_all_button", "rights:all")))
    await talk.answer(text, buttons=tuple(rows))


def _button(talk: Talk, name: str, data: str) -> Button:
    return Button(talk.words.plain(f"rights.{name}"), data)


async def _is_last(talk: Talk) -> bool:
    """Say whether no one else of the family is left: day care and the family's group do not count."""
    if is_day_care(talk.carer):
        return False
    others = [
        carer
        for carer in await people.carers_of(talk.conn, talk.family.id)
        if carer.id != talk.carer.id
        and carer.state in ("active", "joining")
        and not is_day_care(carer)
        and not is_group(carer)
    ]
    return not others


async def pressed(talk: Talk, argument: str) -> None:
    """rights:copy, rights:erase, rights:erase:sure, rights:all, rights:all:sure, rights:keep."""
    await talk.note()
    match argument:
        case "copy":
            await _copy(talk)
        case "erase":
            await _ask(talk, "erase_sure", "rights:erase:sure")
        case "all" if await _is_last(talk):
            await _ask(talk, "erase_all_sure", "rights:all:sure")
        case "erase:sure":
            await _erase(talk, whole_family=False)
        case "all:sure" if await _is_last(talk):
            await _erase(talk, whole_family=True)
        case _:
            await counting.edit_pressed(talk, talk.words("rights.nothing_erased"))


async def _ask(talk: Talk, key: str, yes: str) -> None:
    """The second question, with what goes and what stays."""
    buttons: Buttons = (
        row(_button(talk, "yes_erase_button", yes)),
        row(_button(talk, "keep_button", "rights:keep")),
    )
    therapist = await talk.therapist()
    text = talk.words(f"rights.{key}", nickname=talk.family.nickname, therapist=therapist.name)
    await talk.answer(text, buttons=buttons)


async def _copy(talk: Talk) -> None:
    """Send the copy twice: a page to read, and the data for another program."""
    copy = await copy_of(
        talk.conn, talk.family, talk.carer, talk.now, whole_family=not is_day_care(talk.carer)
    )
    page = copy_page(copy, talk.words, lambda activity: talk.desk.library.name(activity, talk.carer.language))
    data = json.dumps(copy, ensure_ascii=False, indent=1)
    await talk.answer(
        talk.words("rights.copy_page"), attachment=Attachment("document", "copy.html", content=page.encode())
    )
    await talk.answer(
        talk.words("rights.copy_data"), attachment=Attachment("document", "copy.json", content=data.encode())
    )
    await audit.note(talk.conn, who=_who(talk), what="copy given", now=talk.now, family_id=talk.family.id)


def _who(talk: Talk) -> str:
    return f"carer:{talk.family.id}/{talk.carer.id}"


async def _erase(talk: Talk, *, whole_family: bool) -> None:
    """Erase, and say so in words that name nobody. A worry that no one has seen is not let go in silence."""
    therapist = await talk.therapist()
    unseen = await erase.open_concerns(talk.conn, talk.family.id, None if whole_family else talk.carer.id)
    key = "rights.erased_all" if whole_family else "rights.erased"
    parting = talk.words(key, emergency_line=talk.desk.clinic.emergency_line)
    if whole_family:
        await erase.erase_family(talk.conn, talk.family.id, talk.now, who=_who(talk))
    else:
        await erase.erase_carer(talk.conn, talk.family.id, talk.carer.id, talk.now, who=_who(talk))
    await talk.desk.say(Say(chat_id=talk.chat_id, text=parting, about=erase.ERASED))
    words = words_for(therapist.language)
    told = words(
        "rights.therapist_told_all" if whole_family else "rights.therapist_told",
        nickname=talk.family.nickname,
    )
    urgent = [urgency for urgency in URGENCIES if urgency in unseen]
    if urgent:
        told += "\n" + words(f"rights.unseen_{urgent[0]}", n=len(unseen))
    await talk.desk.tell_therapist(therapist, told, kind="concern" if urgent else "reply", about=erase.ERASED)


# ---------------------------------------------------------------- leaving


async def leave(talk: Talk) -> None:
    """Stop at once: nothing more is sent, and what they write is no longer read. The therapist is told."""
    therapist = await talk.therapist()
    await people.change_carer(talk.conn, talk.carer, state="left", gets_prompts=False, on_duty_until=None)
    await people.set_step(talk.conn, talk.chat_id, None)
    await talk.answer(
        talk.words("stop.left", therapist=therapist.name),
        buttons=(
            row(_button(talk, "copy_button", "rights:copy")),
            row(_button(talk, "erase_button", "rights:erase")),
        ),
    )
    words = words_for(therapist.language)
    await talk.desk.tell_therapist(
        therapist, words("therapist.carer_left", carer=talk.carer.name, nickname=talk.family.nickname)
    )
    await audit.note(talk.conn, who=_who(talk), what="left", now=talk.now, family_id=talk.family.id)


async def pressed_leave(talk: Talk, argument: str) -> None:
    await talk.note()
    await leave(talk)
