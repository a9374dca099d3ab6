"""A carer's rights: what is kept and who sees it, their copy, erasure after a second question, and leaving at once.

They outlast leaving: who left may still ask for a copy or for erasure from the same chat.

Erasing takes the carer's words, concerns and name. The baby's minutes stay, nameless, while others still care for the baby:
the plan is reckoned from them. The last of the family may erase everything. What stays after that is the log of who saw
or did what, without words, because a clinic must be able to answer for it.
"""

from __future__ import annotations

from typing import Literal

from bot.concerns.finding import URGENCIES
from bot.domain.actor import Actor
from bot.domain.outgoing import Button, Buttons, OutgoingMessage, row
from bot.domain.rendering import CopyRequest
from bot.features import chat, verbs
from bot.features.context import CarerContext
from bot.features.privacy.rules import copy_holds_family, is_last, may_come_back, step
from bot.phrases import words_for
from bot.storage import erasure


def shown(ctx: CarerContext) -> None:
    """/privacy: what is kept, who sees it, and what they can ask for."""
    therapist = ctx.therapist()
    text = ctx.words(
        "rights.what_is_kept",
        therapist=therapist.name,
        clinic=ctx.context.clinic.name,
        nickname=ctx.family.nickname,
    )
    rows = [
        row(_button(ctx, "copy_button", verbs.RIGHTS.data("copy"))),
        row(_button(ctx, "erase_button", verbs.RIGHTS.data("erase"))),
    ]
    if _is_last(ctx):
        rows.append(row(_button(ctx, "erase_all_button", verbs.RIGHTS.data("all"))))
    ctx.answer(text, buttons=tuple(rows))


def _button(ctx: CarerContext, name: str, data: str) -> Button:
    return Button(ctx.words.plain(f"rights.{name}"), data)


def _is_last(ctx: CarerContext) -> bool:
    return is_last(ctx.carer, ctx.uow.carers.of_family(ctx.family.id))


def pressed(ctx: CarerContext, argument: str) -> None:
    """rights:copy, rights:erase, rights:erase:sure, rights:all, rights:all:sure, rights:keep."""
    ctx.note(ctx.words.plain("edge.making") if argument == "copy" else "")
    match step(argument, last=_is_last(ctx)):
        case "copy":
            _copy(ctx)
        case "ask_own":
            _ask(ctx, "erase_sure", verbs.RIGHTS.data("erase:sure"))
        case "ask_all":
            _ask(ctx, "erase_all_sure", verbs.RIGHTS.data("all:sure"))
        case "erase_own":
            _erase(ctx, whole_family=False)
        case "erase_all":
            _erase(ctx, whole_family=True)
        case "keep":
            chat.edit_pressed(ctx, ctx.words("rights.nothing_erased"))


def _ask(ctx: CarerContext, key: str, yes: str) -> None:
    """The second question, with what goes and what stays."""
    buttons: Buttons = (
        row(_button(ctx, "yes_erase_button", yes)),
        row(_button(ctx, "keep_button", verbs.RIGHTS.data("keep"))),
    )
    therapist = ctx.therapist()
    text = ctx.words(f"rights.{key}", nickname=ctx.family.nickname, therapist=therapist.name)
    ctx.answer(text, buttons=buttons)


def _copy(ctx: CarerContext) -> None:
    """Ask for the copy twice: a page to read, and the data for another program."""
    forms: tuple[Literal["page", "data"], ...] = ("page", "data")
    for form in forms:
        wanted = CopyRequest(
            family=ctx.family.id,
            carer=ctx.carer.id,
            language=ctx.carer.language,
            form=form,
            whole_family=copy_holds_family(ctx.carer),
            at=ctx.now,
        )
        ctx.answer(ctx.words(f"rights.copy_{form}"), render=wanted)
    ctx.uow.audit.note(who=_who(ctx), what="copy given", now=ctx.now, family_id=ctx.family.id)


def _who(ctx: CarerContext) -> Actor:
    return Actor.carer(ctx.carer.id)


def _erase(ctx: CarerContext, *, whole_family: bool) -> None:
    """Erase, and say so in words that name nobody. A concern that no one has seen is not let go in silence."""
    therapist = ctx.therapist()
    unseen = erasure.open_concerns(ctx.uow, ctx.family.id, None if whole_family else ctx.carer.id)
    key = "rights.erased_all" if whole_family else "rights.erased"
    parting = ctx.words(key, emergency_line=ctx.numbers.emergency_line)
    if whole_family:
        erasure.erase_family(ctx.uow, ctx.family.id, ctx.now, who=_who(ctx))
    else:
        erasure.erase_carer(ctx.uow, ctx.family.id, ctx.carer.id, ctx.now, who=_who(ctx))
    ctx.context.say(OutgoingMessage(chat_id=ctx.chat_id, text=parting, about=erasure.ERASED))
    words = words_for(therapist.language)
    told = words(
        "rights.therapist_told_all" if whole_family else "rights.therapist_told",
        nickname=ctx.family.nickname,
    )
    urgent = [urgency for urgency in URGENCIES if urgency in unseen]
    if urgent:
        told += "\n" + words(f"rights.unseen_{urgent[0]}", n=len(unseen))
    ctx.context.tell_therapist(therapist, told, kind="concern" if urgent else "reply", about=erasure.ERASED)


# ---------------------------------------------------------------- leaving


def leave_asked(ctx: CarerContext) -> None:
    """/leave, or leaving in words: asked once, since reminders alone can be stopped too."""
    ctx.answer(
        ctx.words("stop.leave_sure", nickname=ctx.family.nickname),
        buttons=(
            row(Button(ctx.words.plain("stop.leave_button"), verbs.LEAVE.data())),
            row(
                Button(ctx.words.plain("load.pause_button"), verbs.PAUSE.data(None)),
                Button(ctx.words.plain("stop.stay_button"), verbs.STAY.data()),
            ),
        ),
    )


def pressed_stay(ctx: CarerContext) -> None:
    ctx.note()
    chat.edit_pressed(ctx, ctx.words("stop.stays"))


def leave(ctx: CarerContext) -> None:
    """Stop at once: nothing more is sent, and what they write is no longer read. The therapist is told.

    For a week one tap takes it back.
    """
    therapist = ctx.therapist()
    ctx.uow.carers.leave(ctx.carer, ctx.now)
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.answer(
        ctx.words("stop.left", therapist=therapist.name, emergency_line=ctx.numbers.emergency_line),
        buttons=(
            row(Button(ctx.words.plain("stop.come_back_button"), verbs.COME_BACK.data())),
            row(_button(ctx, "copy_button", verbs.RIGHTS.data("copy"))),
            row(_button(ctx, "erase_button", verbs.RIGHTS.data("erase"))),
        ),
    )
    words = words_for(therapist.language)
    ctx.context.tell_therapist(
        therapist, words("therapist.carer_left", carer=ctx.carer.name, nickname=ctx.family.nickname)
    )
    ctx.uow.audit.note(who=_who(ctx), what="left", now=ctx.now, family_id=ctx.family.id)


def pressed_leave(ctx: CarerContext) -> None:
    ctx.note()
    leave(ctx)


def back_offered(ctx: CarerContext) -> None:
    """Somebody who left writes that they want to come back: one tap does it, within the week."""
    left_at = ctx.carer.left_at
    if not may_come_back(ctx.carer, left_at, ctx.now):
        ctx.answer(ctx.words("stop.back_too_late", therapist=ctx.therapist().name))
        return
    ctx.answer(
        ctx.words("stop.back_offer", nickname=ctx.family.nickname),
        buttons=(row(Button(ctx.words.plain("stop.come_back_button"), verbs.COME_BACK.data())),),
    )


def pressed_come_back(ctx: CarerContext) -> None:
    """Somebody who left within the week is back as before; later it takes a new invitation."""
    ctx.note()
    pressed = ctx.pressed()
    left_at = ctx.carer.left_at or (pressed.made_at if pressed else None)
    if not may_come_back(ctx.carer, left_at, ctx.now):
        ctx.answer(ctx.words("stop.back_too_late", therapist=ctx.therapist().name))
        return
    ctx.uow.carers.come_back(ctx.carer)
    ctx.uow.audit.note(who=_who(ctx), what="came back", now=ctx.now, family_id=ctx.family.id)
    back = ctx.renewed()
    back.answer(back.words("stop.back", nickname=back.family.nickname))
    therapist = ctx.therapist()
    words = words_for(therapist.language)
    ctx.context.tell_therapist(
        therapist, words("therapist.carer_back", carer=ctx.carer.name, nickname=ctx.family.nickname)
    )
