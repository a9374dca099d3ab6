"""Where everything that a therapist does comes in, and which part of their context it goes to."""

from __future__ import annotations

from collections.abc import Callable

from bot.domain.outgoing import PressAnswer
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access import quiet_hours
from bot.features.access.family_choice import Act, say
from bot.features.buttons import TherapistPress, by_therapist
from bot.features.caseload import browse, cover, discharge, handover, numbers, taught
from bot.features.concerns import resolve
from bot.features.context import Context
from bot.features.digests import trace
from bot.features.enrolment import groups, invitations, new_family, removing
from bot.features.events import ButtonPressed, Edited, Event, FileSent, TextWritten
from bot.features.plan import announce, arm_hold, editor, next_step, taking_back
from bot.features.plan.draft import STEP
from bot.features.privacy import audit_log
from bot.features.refreshers import for_therapist, media, media_list
from bot.features.routing import clinic_routes, therapist_words
from bot.features.threads import answers, compose, short_answers
from bot.phrases import words_for

Step = Callable[[Context, TextWritten, Therapist], None]


def receive(context: Context, event: Event, therapist: Therapist) -> None:
    """Act on one thing that a therapist did."""
    context.asked_by = therapist.id
    match event:
        case ButtonPressed():
            _pressed(context, event, therapist)
        case TextWritten() if event.text.startswith("/"):
            _command(context, event, therapist)
        case TextWritten() | FileSent():
            _wrote(context, event, therapist)
        case Edited():
            answers.edited(context, event, therapist)
        case _:
            help_shown(context, event, therapist, "")


def help_shown(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    say(context, event, words_for(therapist.language)("therapist.help"))


def _pressed(context: Context, event: ButtonPressed, therapist: Therapist) -> None:
    read = verbs.pressed(event.data)
    pressed = PRESSED.get(read[0]) if read else None
    if read is None or pressed is None:
        say(context, event, words_for(therapist.language)("edge.old_button"))
    else:
        pressed(context, event, therapist, read[1])
    if event.press is not None:
        context.say(PressAnswer(chat_id=event.chat_id, text=context.press_note, press=event.press))


def _command(context: Context, event: TextWritten, therapist: Therapist) -> None:
    """Do a command; a short talk of several steps that was under way is left by it."""
    if context.uow.chats.get(event.chat_id).dialog.step in LEFT_BY_COMMANDS:
        context.uow.chats.end_dialog(event.chat_id)
    command, _, rest = event.text.partition(" ")
    act = COMMANDS.get(command.lower().partition("@")[0], help_shown)
    act(context, event, therapist, rest.strip())


def _wrote(context: Context, event: TextWritten | FileSent, therapist: Therapist) -> None:
    """Words or a file of a therapist: an answer to what they quote, else to what was asked last, else help."""
    about = answers.about_quoted(context, event)
    typed = event if isinstance(event, TextWritten) else None
    if typed is not None and about is None and trace.asked_in_words(context, typed, therapist):
        return
    dialog = context.uow.chats.get(event.chat_id).dialog
    if (
        typed is not None
        and about is None
        and dialog.step == STEP
        and therapist_words.wrote(context, typed, therapist, COMMANDS)
    ):
        return
    # A plan's draft is the only thing quoted that must not go out to anybody as an answer.
    if typed is not None and editor.wrote(context, typed, therapist, about):
        return
    # A quote says whom it is for, whatever was asked last.
    if about is not None and answers.answer(context, event, therapist, about):
        return
    if dialog.step == "answer":
        compose.words_written(context, event, therapist, Subject.from_stored(dialog.text("about")))
    elif dialog.step in STEPS and typed is not None:
        STEPS[dialog.step](context, typed, therapist)
    elif isinstance(event, FileSent) and event.kind in media.KINDS:
        media.received(context, event, therapist)
    elif typed is not None and (
        clinic_routes.wrote(context, typed, therapist)
        or therapist_words.wrote(context, typed, therapist, COMMANDS)
    ):
        return
    else:
        help_shown(context, event, therapist, "")


def _group(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    groups.choose(context, event, therapist)


def _cancel(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    say(context, event, words_for(therapist.language)("therapist.cancelled"))


COMMANDS: dict[str, Act] = {
    **clinic_routes.COMMANDS,
    "/families": browse.families,
    "/write": compose.write,
    "/plan": editor.command,
    "/plans": announce.plan,
    "/material": media_list.command,
    "/howto": for_therapist.command,
    "/group": _group,
    "/invite": invitations.invite,
    "/newfamily": new_family.new_family,
    "/remove": removing.remove,
    "/handover": handover.hand_over,
    "/cover": cover.cover,
    "/numbers": numbers.command,
    "/taught": taught.command,
    "/quiet": quiet_hours.quiet,
    "/audit": audit_log.shown,
    "/cancel": _cancel,
    "/help": help_shown,
}

# What a message answers, by the step at which a talk stands ("answer" takes files too, see _wrote).
STEPS: dict[str, Step] = {
    "invite": invitations.name_written,
    "invitecolleague": invitations.colleague_written,
    "newfamily": new_family.written,
    "cover": cover.dates_written,
}

LEFT_BY_COMMANDS = {"answer", "grade", "page", handover.STEP, *STEPS}

PRESSED: dict[str, TherapistPress] = {
    **clinic_routes.PRESSED,
    **dict(
        [
            by_therapist(verbs.SEEN, resolve.pressed_seen),
            by_therapist(verbs.CALLED, resolve.pressed_called),
            by_therapist(verbs.WRONG, resolve.pressed_wrong),
            by_therapist(verbs.ADVICE, resolve.pressed_advice),
            by_therapist(verbs.GO_ON, resolve.pressed_go_on),
            by_therapist(verbs.ANSWER, compose.pressed_answer),
            by_therapist(verbs.REPLY, compose.pressed_reply),
            by_therapist(verbs.SHORT_CONCERN, short_answers.pressed_concern),
            by_therapist(verbs.SHORT_QUESTION, short_answers.pressed_question),
            by_therapist(verbs.SEND_SHORT_CONCERN, short_answers.pressed_send_concern),
            by_therapist(verbs.SEND_SHORT_QUESTION, short_answers.pressed_send_question),
            by_therapist(verbs.WRITE, compose.pressed_write),
            by_therapist(verbs.NUMBERS, numbers.pressed),
            by_therapist(verbs.TAUGHT_LIST, taught.pressed_list),
            by_therapist(verbs.TAUGHT, taught.pressed),
            by_therapist(verbs.FAMILIES, browse.pressed_page),
            by_therapist(verbs.ALL_FAMILIES, browse.pressed_all),
            by_therapist(verbs.CARD, browse.pressed_card),
            by_therapist(verbs.OPEN, browse.pressed_open),
            by_therapist(verbs.MEDIA, media.pressed),
            by_therapist(verbs.HOWTO, for_therapist.pressed),
            by_therapist(verbs.MEDIA_LIST, media_list.pressed_list),
            by_therapist(verbs.MEDIA_SHOW, media_list.pressed_show),
            by_therapist(verbs.MEDIA_BACK, media_list.pressed_back),
            by_therapist(verbs.AUDIT, audit_log.pressed),
            by_therapist(verbs.PLAN_SHOW, announce.pressed_show),
            by_therapist(verbs.PLAN, editor.pressed_family),
            by_therapist(verbs.PLAN_DRAFT, editor.pressed),
            by_therapist(verbs.PLAN_UNDO, taking_back.pressed),
            by_therapist(verbs.NEXT_STEP, next_step.pressed),
            by_therapist(verbs.ARM_GOES_ON, arm_hold.pressed_goes_on),
            by_therapist(verbs.ARM_RESTS_ON, arm_hold.pressed_rests_on),
            by_therapist(verbs.GROUP, groups.pressed_allow),
            by_therapist(verbs.INVITE, invitations.pressed_family),
            by_therapist(verbs.INVITE_ROLE, invitations.pressed_role),
            by_therapist(verbs.INVITE_AGAIN, invitations.pressed_again),
            by_therapist(verbs.INVITE_OTHER, invitations.pressed_other),
            by_therapist(verbs.INVITE_IN_OTHER, invitations.pressed_language),
            by_therapist(verbs.INVITE_COLLEAGUE, invitations.pressed_colleague),
            by_therapist(verbs.REMOVE, removing.pressed_family),
            by_therapist(verbs.REMOVE_CARER, removing.pressed_carer),
            by_therapist(verbs.REMOVE_SURE, removing.pressed_sure),
            by_therapist(verbs.REMOVE_NO, removing.pressed_no),
            by_therapist(verbs.NEW_FAMILY, new_family.pressed_new),
            by_therapist(verbs.NEW_FAMILY_ANSWER, new_family.pressed_answer),
            by_therapist(verbs.QUIET_OFF, quiet_hours.pressed_off),
            by_therapist(verbs.HANDOVER, handover.pressed_family),
            by_therapist(verbs.HANDOVER_TO, handover.pressed_colleague),
            by_therapist(verbs.HANDOVER_YES, handover.pressed_accept),
            by_therapist(verbs.HANDOVER_NO, handover.pressed_decline),
            by_therapist(verbs.COVER, cover.pressed_cover),
            by_therapist(verbs.COVER_DAYS, cover.pressed_days),
            by_therapist(verbs.COVER_END, cover.pressed_end),
            by_therapist(verbs.COVER_NO, cover.pressed_decline),
            by_therapist(verbs.COVER_DIGEST, cover.pressed_digest),
            by_therapist(verbs.COVER_DOCUMENT, cover.pressed_pdf),
            by_therapist(verbs.DISCHARGE, discharge.pressed_first),
            by_therapist(verbs.DISCHARGE_SURE, discharge.pressed_sure),
            by_therapist(verbs.DISCHARGE_NOW, discharge.pressed_now),
            by_therapist(verbs.DISCHARGE_NO, discharge.pressed_no),
            by_therapist(verbs.DISCHARGE_BACK, discharge.pressed_back),
        ]
    ),
}
