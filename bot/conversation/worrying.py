"""A worry: fixed advice at once, the therapist told at once, and the carer told that they know.

The bot never diagnoses, reassures or says wait. Advice is reviewed text with the clinic's own numbers.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.concerns.advice import advice_key
from bot.concerns.finding import Concern, Urgency
from bot.conversation.carer import counting
from bot.conversation.desk import Desk, Talk
from bot.conversation.therapist import covering, settling, therapist_words
from bot.phrases import words_for
from bot.records import audit, people, worries
from bot.records.people import Therapist
from bot.records.worries import ConcernRow
from bot.say import Button, Say, row

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


async def raise_concern(talk: Talk, message_id: int, found: Concern) -> None:
    """Advise the carer and tell the therapist; what needs only telling goes into the digest."""
    earlier = await worries.concerns_of_message(talk.conn, message_id)
    if any(each.urgency == found.urgency and each.state != "denied" for each in earlier):
        return  # an edited message that says the same worry
    await _advise_and_tell(talk, await keep(talk, message_id, found), found)


async def keep(talk: Talk, message_id: int, found: Concern, *, ask_until: datetime | None = None) -> int:
    """Keep a worry with the carer's own words and return its number. ask_until: it is unclear, and asked about till then."""
    return await worries.add_concern(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        urgency=found.urgency,
        topics=found.topics,
        text=talk.incoming.text,
        state="open" if ask_until is None else "asked",
        at=talk.now,
        ask_until=ask_until,
    )


async def _advise_and_tell(talk: Talk, concern_id: int, found: Concern) -> None:
    key = advice_key(found)
    clinic = talk.desk.clinic
    urgent = found.urgency != "tell_therapist"
    await talk.answer(
        talk.words(key, emergency_line=clinic.emergency_line, nurse_line=clinic.nurse_line),
        kind="concern" if urgent else "reply",
        about=f"concern:{concern_id}",
    )
    await worries.change_concern(talk.conn, concern_id, advice=key)
    if urgent:
        await tell(talk.desk, concern_id)


async def ask_about(talk: Talk, message_id: int, found: Concern) -> None:
    """Ask at once about a sign that neither stands nor is plainly denied."""
    concern_id = await keep(talk, message_id, found, ask_until=talk.now + ASK_FOR)
    words, clinic = talk.words, talk.desk.clinic
    await talk.answer(
        words("advice.unclear", emergency_line=clinic.emergency_line),
        kind="concern",
        about=f"concern:{concern_id}",
        buttons=(
            row(
                Button(words.plain("advice.unclear_yes"), f"worry:{concern_id}"),
                Button(words.plain("advice.unclear_no"), f"noworry:{concern_id}"),
            ),
        ),
    )


async def pressed_worry(talk: Talk, argument: str) -> None:
    found = await _own_concern(talk, argument)
    if found is None:
        return
    await talk.note()
    if found.state == "asked":
        await worries.change_concern(talk.conn, found.id, state="open", ask_until=None)
        await _advise_and_tell(talk, found.id, Concern(found.urgency, found.topics))


async def pressed_no_worry(talk: Talk, argument: str) -> None:
    found = await _own_concern(talk, argument)
    if found is None:
        return
    await talk.note()
    if found.state == "asked":
        await worries.change_concern(talk.conn, found.id, state="denied", ask_until=None)
        await counting.edit_pressed(talk, talk.words("worry.denied", therapist=(await talk.therapist()).name))


async def _own_concern(talk: Talk, argument: str) -> ConcernRow | None:
    found = await worries.concern(talk.conn, int(argument)) if argument.isdigit() else None
    if found is None or found.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return None
    return found


# ---------------------------------------------------------------- telling the therapist


async def tell(desk: Desk, concern_id: int) -> Therapist | None:
    """Tell a worry to the therapist and who covers for them; return the first who was told, None where nobody can be.

    It is told again, on the schedule above, until somebody has seen it. What nobody can be told yet is tried every
    few minutes, and does not count as told.
    """
    found = await worries.concern(desk.conn, concern_id)
    family = await people.family(desk.conn, found.family_id) if found else None
    if found is None or family is None:
        await worries.change_concern(desk.conn, concern_id, next_tell_at=None)
        return None
    told: Therapist | None = None
    for therapist in await covering.worry_listeners(desk, family.therapist_id):
        words = words_for(therapist.language)
        text = await therapist_words.concern_text(desk, found, family, words)
        said = await desk.tell_therapist(
            therapist, text, kind="concern", about=found.about, buttons=settling.alert_buttons(found, words)
        )
        if said is not None and told is None:
            told = therapist
        if not await covering.may_see(desk, therapist, family.id):
            await audit.note(
                desk.conn,
                who="server",
                what="worry told to others",
                now=desk.now,
                family_id=family.id,
                detail=therapist.id,
            )
    await _note_telling(desk, found, told)
    await _tell_carer(desk, found, told, family.therapist_id)
    return told


async def _note_telling(desk: Desk, found: ConcernRow, told: Therapist | None) -> None:
    waits = TELL_AGAIN[found.urgency]
    if told is None:
        again = TRY_AGAIN if waits else None
        tellings = found.tellings
    else:
        tellings = found.tellings + 1
        again = waits[min(tellings, len(waits)) - 1] if waits and tellings <= MOST_TELLINGS else None
    await worries.change_concern(
        desk.conn,
        found.id,
        told_at=found.told_at or (desk.now if told else None),
        tellings=tellings,
        next_tell_at=desk.now + again if again else None,
    )


async def _tell_carer(desk: Desk, found: ConcernRow, told: Therapist | None, therapist_id: str) -> None:
    """Tell the carer who knows of their worry, once for each name; or that nobody could be told."""
    carer = await people.carer(desk.conn, found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None or carer.state == "left":
        return
    words = words_for(carer.language)
    if told is not None:
        text, key = words("worry.told", therapist=told.name), f"told:{found.id}:{told.id}"
    else:
        keeper = await people.therapist(desk.conn, therapist_id)
        text = words(
            "worry.nobody_reached",
            therapist=keeper.name if keeper else "",
            emergency_line=desk.clinic.emergency_line,
        )
        key = f"untold:{found.id}"
    await desk.say(Say(chat_id=carer.chat_id, family=found.family_id, text=text, kind="concern", key=key))


async def forward_unanswered(desk: Desk) -> None:
    """Forward unclear worries that were asked about and stayed unanswered."""
    for found in await worries.unanswered_asks(desk.conn, desk.now):
        await worries.change_concern(desk.conn, found.id, state="open", ask_until=None)
        await tell(desk, found.id)


async def tell_again(desk: Desk) -> None:
    """Repeat concerns that no therapist has seen yet."""
    for found in await worries.unseen(desk.conn, desk.now):
        await tell(desk, found.id)
