"""A concern: fixed advice at once, the therapist told at once, and the carer told that they know.

The bot never diagnoses, reassures or says wait. Advice is reviewed text with the clinic's own numbers.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.concerns.advice import advice_key
from bot.concerns.finding import Concern, Urgency
from bot.domain.actor import SERVER
from bot.domain.concerns import ConcernRow
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Therapist
from bot.domain.subject import Subject
from bot.features import chat
from bot.features.access import access
from bot.features.concerns import resolve
from bot.features.concerns.views import concern_text
from bot.features.context import CarerContext, Context
from bot.phrases import words_for

# An unclear sign that nobody answers is forwarded after this long.
ASK_FOR = timedelta(minutes=10)
# When a concern that no therapist has seen is told again: each wait once, then the last one over and over.
TELL_AGAIN: dict[Urgency, tuple[timedelta, ...]] = {
    "act_now": (timedelta(minutes=10), timedelta(minutes=20), timedelta(hours=1)),
    "same_day": (timedelta(hours=1), timedelta(hours=3)),
    "tell_therapist": (),
}
MOST_TELLINGS = 12
TRY_AGAIN = timedelta(minutes=5)  # while no therapist of the clinic can be reached


def raise_concern(ctx: CarerContext, message_id: int, found: Concern) -> None:
    """Advise the carer and tell the therapist; what needs only telling goes into the digest."""
    earlier = ctx.uow.concerns.of_message(message_id)
    if any(each.urgency == found.urgency and each.state != "denied" for each in earlier):
        return  # an edited message that says the same concern
    _advise_and_tell(ctx, keep(ctx, message_id, found), found)


def keep(ctx: CarerContext, message_id: int, found: Concern, *, ask_until: datetime | None = None) -> int:
    """Keep a concern with the carer's own words and return its number. ask_until: it is unclear, and asked about till then."""
    return ctx.uow.concerns.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        urgency=found.urgency,
        topics=found.topics,
        text=ctx.event.text,
        at=ctx.now,
        ask_until=ask_until,
    )


def _advise_and_tell(ctx: CarerContext, concern_id: int, found: Concern) -> None:
    key = advice_key(found)
    clinic = ctx.context.clinic
    urgent = found.urgency != "tell_therapist"
    ctx.answer(
        ctx.words(key, emergency_line=clinic.emergency_line, nurse_line=clinic.nurse_line),
        kind="concern" if urgent else "reply",
        about=Subject.of("concern", concern_id),
    )
    ctx.uow.concerns.set_advice(concern_id, key)
    if urgent:
        tell(ctx.context, concern_id)


def ask_about(ctx: CarerContext, message_id: int, found: Concern) -> None:
    """Ask at once about a sign that neither stands nor is plainly denied."""
    concern_id = keep(ctx, message_id, found, ask_until=ctx.now + ASK_FOR)
    words, clinic = ctx.words, ctx.context.clinic
    ctx.answer(
        words("advice.unclear", emergency_line=clinic.emergency_line),
        kind="concern",
        about=Subject.of("concern", concern_id),
        buttons=(
            row(
                Button(words.plain("advice.unclear_yes"), f"worry:{concern_id}"),
                Button(words.plain("advice.unclear_no"), f"noworry:{concern_id}"),
            ),
        ),
    )


def pressed_is_concern(ctx: CarerContext, argument: str) -> None:
    found = _own_concern(ctx, argument)
    if found is None:
        return
    ctx.note()
    if found.state == "asked":
        ctx.uow.concerns.confirm(found.id)
        _advise_and_tell(ctx, found.id, Concern(found.urgency, found.topics))


def pressed_no_concern(ctx: CarerContext, argument: str) -> None:
    found = _own_concern(ctx, argument)
    if found is None:
        return
    ctx.note()
    if found.state == "asked":
        ctx.uow.concerns.deny(found.id)
        said = ctx.words(
            "worry.denied", therapist=ctx.therapist().name, emergency_line=ctx.context.clinic.emergency_line
        )
        chat.edit_pressed(ctx, said)


def _own_concern(ctx: CarerContext, argument: str) -> ConcernRow | None:
    found = ctx.uow.concerns.find(int(argument)) if argument.isdigit() else None
    if found is None or found.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return None
    return found


# ---------------------------------------------------------------- telling the therapist


def tell(context: Context, concern_id: int) -> Therapist | None:
    """Tell a concern to the therapist and who covers for them; return the first who was told, None where nobody can be.

    It is told again, on the schedule above, until somebody has seen it. What nobody can be told yet is tried every
    few minutes, and does not count as told.
    """
    found = context.uow.concerns.find(concern_id)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        context.uow.concerns.stop_notifying(concern_id)
        return None
    told: Therapist | None = None
    for therapist in access.concern_listeners(context, family.therapist_id):
        words = words_for(therapist.language)
        text = concern_text(context, found, family, words)
        said = context.tell_therapist(
            therapist, text, kind="concern", about=found.about, buttons=resolve.alert_buttons(found, words)
        )
        if said is not None and told is None:
            told = therapist
        if not access.may_see(context, therapist, family.id):
            context.uow.audit.note(
                who=SERVER,
                what="worry told to others",
                now=context.now,
                family_id=family.id,
                detail=therapist.id,
            )
    _note_telling(context, found, told)
    _tell_carer(context, found, told, family.therapist_id)
    return told


def _note_telling(context: Context, found: ConcernRow, told: Therapist | None) -> None:
    waits = TELL_AGAIN[found.urgency]
    if told is None:
        again = TRY_AGAIN if waits else None
        tellings = found.tellings
    else:
        tellings = found.tellings + 1
        again = waits[min(tellings, len(waits)) - 1] if waits and tellings <= MOST_TELLINGS else None
    context.uow.concerns.note_notified(
        found.id,
        first_at=found.told_at or (context.now if told else None),
        count=tellings,
        next_at=context.now + again if again else None,
    )


def _tell_carer(context: Context, found: ConcernRow, told: Therapist | None, therapist_id: str) -> None:
    """Tell the carer who knows of their concern, once for each name; or that nobody could be told."""
    carer = context.uow.carers.find(found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None or carer.state == "left":
        return
    words = words_for(carer.language)
    if told is not None:
        text, key = words("worry.told", therapist=told.name), f"told:{found.id}:{told.id}"
    else:
        keeper = context.uow.therapists.find(therapist_id)
        text = words(
            "worry.nobody_reached",
            therapist=keeper.name if keeper else "",
            emergency_line=context.clinic.emergency_line,
        )
        key = f"untold:{found.id}"
    context.say(
        OutgoingMessage(chat_id=carer.chat_id, family=found.family_id, text=text, kind="concern", key=key)
    )


def forward_unanswered(context: Context) -> None:
    """Forward unclear concerns that were asked about and stayed unanswered."""
    for found in context.uow.concerns.unanswered_asks(context.now):
        context.uow.concerns.confirm(found.id)
        tell(context, found.id)


def tell_again(context: Context) -> None:
    """Repeat concerns that no therapist has seen yet."""
    for found in context.uow.concerns.unseen(context.now):
        tell(context, found.id)
