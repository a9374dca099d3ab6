"""Everything that anybody does comes in here, and goes on by who they are.

A therapist's chat goes to therapist_desk; a carer's to the modules of what carers do; a stranger gets one polite line
and no data.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from bot.activities.library import Library
from bot.clock import Clock
from bot.domain.outgoing import OutgoingMessage, PressAnswer
from bot.domain.people import Carer, Clinic
from bot.features import verbs
from bot.features.concerns import failed_update, without_consent
from bot.features.context import CarerContext, Context
from bot.features.enrolment import groups, joining
from bot.features.events import (
    Blocked,
    ButtonPressed,
    Edited,
    Event,
    FileSent,
    JoinedGroup,
    OtherSent,
    Reacted,
    Sent,
    StickerSent,
    TextWritten,
    Unblocked,
    command_of,
    kind_kept,
    text_of,
)
from bot.features.privacy import rights
from bot.features.routing import (
    babies_together,
    carer_buttons,
    carer_message,
    carer_signs,
    edited_message,
    rules,
    several_babies,
    therapist_routes,
)
from bot.features.routing.carer_commands import do_command, holds_concern
from bot.features.routing.turn import context_of
from bot.features.threads import files, shown_holds
from bot.parsing.answers import wants_back
from bot.phrases import words_for
from bot.replies.reader import activities_named
from bot.storage.repositories.invitations import looks_like_code
from bot.storage.unit_of_work import UnitOfWork

LEFT_MAY_PRESS = {verbs.RIGHTS.name, verbs.COME_BACK.name}
BEFORE_CONSENT = {verbs.WHO.name, verbs.CONSENT.name}
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


class Router:
    """Receives what people do, within the transaction of the update that brought it."""

    def __init__(
        self, clock: Clock, library: Library, *, bot_name: str | None = None, learning: bool = True
    ) -> None:
        self._clock, self._library, self._bot_name, self._learning = clock, library, bot_name, learning

    def context(self, uow: UnitOfWork) -> Context | None:
        """Return a context at the present moment; None where no clinic was loaded yet."""
        clinic: Clinic | None = uow.clinics.find()
        if clinic is None:
            return None
        slack = timedelta(seconds=3 * self._clock.speed) if self._clock.speed > 1 else timedelta()
        return Context(
            uow,
            self._clock.now(),
            clinic,
            self._library,
            self._bot_name,
            slack,
            learning=self._learning,
        )

    def now(self) -> datetime:
        return self._clock.now()

    def not_handled(self, uow: UnitOfWork, raw: Mapping[str, Any]) -> None:
        """Pass on the words of an update that could not be handled, read from its raw form."""
        context = self.context(uow)
        if context is not None:
            failed_update.pass_on(context, raw)

    def receive(self, uow: UnitOfWork, event: Event) -> None:
        """Act on one thing that a person did."""
        context = self.context(uow)
        if context is None:
            return
        if not event.private:
            ctx = groups.context_in(context, event)
            if ctx is not None:
                _act(ctx)
            return
        if isinstance(event, Blocked):
            uow.chats.mark_unreachable(event.chat_id, context.now)
            return
        if isinstance(event, Unblocked | JoinedGroup):
            uow.chats.mark_reachable(event.chat_id)
            return
        code = _invitation_code(event)
        if code is not None:
            joining.try_code(context, event, code)
            return
        around = uow.carers.around_chat(event.chat_id)
        carers = [each for each in around if each.chat_id == event.chat_id and each.state != "left"]
        if carers:
            if any(carer.blocked for carer in carers):
                uow.chats.mark_reachable(event.chat_id)
            _carer(context, event, carers, around)
            return
        therapist = None if around else uow.therapists.in_chat(event.chat_id)
        if therapist is None:
            _outsider(context, event)
            return
        if therapist.unreachable:
            uow.chats.mark_reachable(event.chat_id)
        therapist_routes.receive(context, event, therapist)


def _invitation_code(event: Event) -> str | None:
    """Return the code of an opened invitation link (/start CODE), or of a printed one typed in."""
    if not isinstance(event, TextWritten):
        return None
    words = event.text.split()
    if words and words[0].lower() == "/start":
        code = "".join(words[1:])
        return code if len(words) == 2 or looks_like_code(code) else None
    return event.text if looks_like_code(event.text) else None


def _carer(context: Context, event: Event, carers: list[Carer], around: list[Carer]) -> None:
    if len(carers) > 1 and _for_several(context, event, carers):
        return
    ctx = several_babies.context_for(context, event, carers)
    ctx.family_carers = tuple(each for each in around if each.family_id == ctx.family.id)
    if ctx.carer.state == "joining" and _verb_of(event) not in BEFORE_CONSENT:
        joining.received(ctx)
        return
    _act(ctx)


def _for_several(context: Context, event: Event, carers: list[Carer]) -> bool:
    """Do what a chat with several babies needs each for, or ask which is meant; return whether that was all."""
    active = [carer for carer in carers if carer.state == "active"]
    if len(active) >= 2 and isinstance(event, Edited):
        edited = several_babies.edits(context, event, active)
        for ctx, edit in edited:
            edited_message.read_edited(ctx, edit)
        return bool(edited)
    if len(active) < 2 or not isinstance(event, TextWritten):
        return False
    contexts = [several_babies.context_about(context, event, carer) for carer in active]
    command = command_of(event.text)
    if command is not None and not holds_concern(contexts[0]):
        if command in FOR_EACH_BABY:
            for ctx in contexts:
                do_command(ctx, event)
        return command in FOR_EACH_BABY
    if event.reply_to is not None:
        return False
    if babies_together.taken(contexts, event):
        return True
    meant = several_babies.meant(contexts)
    if len(meant) == 1:
        context.uow.chats.set_family(event.chat_id, meant[0].family.id)
        _act(meant[0])
    else:
        several_babies.ask_which(meant, event)
    return True


def _verb_of(event: Event) -> str | None:
    read = verbs.pressed(event.data) if isinstance(event, ButtonPressed) else None
    return read[0] if read else None


def _act(ctx: CarerContext) -> None:
    """Do what a carer did, once it is known about which baby."""
    event = ctx.event
    _do(ctx, event)
    if not ctx.heard:
        ctx.uow.families.note_heard(ctx.family.id, ctx.now)


def _do(ctx: CarerContext, event: Event) -> None:
    match event:
        case ButtonPressed():
            read = verbs.pressed(event.data)
            pressed = carer_buttons.PRESSED.get(read[0]) if read else None
            if read is None or pressed is None:
                ctx.note(ctx.words("edge.old_button"))
            else:
                pressed(ctx, read[1])
        case TextWritten() if event.text.startswith("/"):
            do_command(ctx, event)
        case TextWritten():
            carer_message.read_message(ctx, event)
        case Reacted():
            carer_signs.read_sign(ctx, event)
        case StickerSent() if carer_signs.read_sign(ctx, event):
            return
        case OtherSent() if event.text:
            carer_message.read_message(ctx, event)
        case Edited():
            edited_message.read_edited(ctx, event)
        case FileSent():
            _file(ctx, event)
        case StickerSent() | OtherSent():
            _unreadable(ctx, event)
        case _:
            return


def _file(ctx: CarerContext, event: FileSent) -> None:
    """A file goes to the therapist; its words are read as a message too, unless they only ask of it."""
    caption = rules.Caption()
    if event.text:
        looked_at = event.kind in shown_holds.LOOKED_AT
        named = activities_named(event.text, context_of(ctx, None))
        caption = rules.caption_of(carer_message.reading_of(ctx), named, looked_at=looked_at)
    files.received_file(ctx, event, only_asks=caption.only_asks, hold=caption.hold)
    if event.text and not caption.only_asks:
        carer_message.read_message(ctx, event)


def _unreadable(ctx: CarerContext, event: Sent) -> None:
    """A sticker, a place, a contact: noted, and answered with what works."""
    if ctx.uow.messages.in_chat(ctx.chat_id, event.message_id):
        return
    ctx.uow.messages.keep(
        chat_id=ctx.chat_id,
        message_id=event.message_id,
        kind=kind_kept(event),
        text="",
        at=event.at,
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
    )
    ctx.answer(ctx.words("edge.words_please", emergency_line=ctx.numbers.emergency_line))


def _outsider(context: Context, event: Event) -> None:
    """Somebody who left keeps their rights; a stranger gets one polite line. An urgent sign gets its advice from both."""
    left = context.uow.carers.left_in_chat(event.chat_id)
    language = left[0].language if left else event.language
    if without_consent.advise(context, event.chat_id, text_of(event), language):
        return
    wants = _verb_of(event) in LEFT_MAY_PRESS or text_of(event).strip().lower().startswith("/privacy")
    if left and wants:
        ctx = several_babies.context_for(context, event, left)
        if isinstance(event, ButtonPressed):
            _do(ctx, event)
        else:
            rights.shown(ctx)
        return
    if left and isinstance(event, TextWritten) and wants_back(event.text):
        rights.back_offered(several_babies.context_for(context, event, left))
        return
    _stranger(context, event, language)


def _stranger(context: Context, event: Event, language: str) -> None:
    """One polite line, not more than twice a day, and nothing kept of what they wrote."""
    chat = context.uow.chats.get(event.chat_id)
    words = words_for(language)
    if isinstance(event, ButtonPressed) and event.press is not None:
        context.say(PressAnswer(chat_id=event.chat_id, press=event.press))
    if chat.stranger_told_at is not None and context.now - chat.stranger_told_at < STRANGER_AGAIN:
        return
    context.uow.chats.note_stranger_told(event.chat_id, context.now)
    context.say(OutgoingMessage(chat_id=event.chat_id, text=words("edge.stranger")))
