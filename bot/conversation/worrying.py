"""A worry: fixed advice at once, the therapist told at once, and the carer told that they know.

The bot never diagnoses, reassures or says wait. Advice is reviewed text with the clinic's own numbers.
"""

from __future__ import annotations

from datetime import timedelta

from bot.concerns.advice import advice_key
from bot.concerns.finding import Concern, Urgency
from bot.conversation import counting, therapist_words
from bot.conversation.desk import Desk, Talk
from bot.phrases import words_for
from bot.records import people, worries
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


async def raise_concern(talk: Talk, message_id: int, found: Concern) -> None:
    """Advise the carer and tell the therapist; what needs only telling goes into the digest."""
    earlier = await worries.concerns_of_message(talk.conn, message_id)
    if any(each.urgency == found.urgency and each.state != "denied" for each in earlier):
        return  # an edited message that says the same worry
    concern_id = await worries.add_concern(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        urgency=found.urgency,
        topics=found.topics,
        text=talk.incoming.text,
        state="open",
        at=talk.now,
    )
    await _advise_and_tell(talk, concern_id, found)


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
    if urgent and await tell(talk.desk, concern_id) is not None:
        await talk.answer(talk.words("advice.therapist_told"), kind="concern")


async def ask_about(talk: Talk, message_id: int, found: Concern) -> None:
    """Ask at once about a sign that neither stands nor is plainly denied."""
    concern_id = await worries.add_concern(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        urgency=found.urgency,
        topics=found.topics,
        text=talk.incoming.text,
        state="asked",
        at=talk.now,
        ask_until=talk.now + ASK_FOR,
    )
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
    """Tell the family's therapist (and who covers for them) of a concern; return whom, None where nobody has a chat."""
    found = await worries.concern(desk.conn, concern_id)
    assert found is not None
    family = await people.family(desk.conn, found.family_id)
    assert family is not None
    told: Therapist | None = None
    for therapist in await listeners(desk, family.therapist_id):
        text = await therapist_words.concern_text(desk, found, family, words_for(therapist.language))
        words = words_for(therapist.language)
        said = await desk.tell_therapist(
            therapist,
            text,
            kind="concern",
            about=found.about,
            buttons=(
                row(
                    Button(words.plain("therapist.seen_button"), f"seen:{found.id}"),
                    Button(words.plain("therapist.answer_button"), f"answer:{found.id}"),
                ),
                row(
                    Button(words.plain("therapist.called_button"), f"called:{found.id}"),
                    Button(words.plain("therapist.wrong_button"), f"wrong:{found.id}"),
                ),
            ),
        )
        if said is not None and told is None:
            told = therapist
    waits = TELL_AGAIN[found.urgency]
    tellings = found.tellings + 1
    again = waits[min(tellings, len(waits)) - 1] if waits and tellings <= MOST_TELLINGS else None
    await worries.change_concern(
        desk.conn,
        found.id,
        told_at=found.told_at or (desk.now if told else None),
        tellings=tellings,
        next_tell_at=desk.now + again if again else None,
    )
    return told


async def listeners(desk: Desk, therapist_id: str) -> list[Therapist]:
    """Return the therapist and, while they are away, their cover: the cover first."""
    therapist = await people.therapist(desk.conn, therapist_id)
    if therapist is None:
        return []
    today = desk.now.astimezone(desk.clinic.zone).date()
    if therapist.covered_by is None or (therapist.cover_until is not None and therapist.cover_until < today):
        return [therapist]
    cover = await people.therapist(desk.conn, therapist.covered_by)
    return [cover, therapist] if cover else [therapist]


async def forward_unanswered(desk: Desk) -> None:
    """Forward unclear worries that were asked about and stayed unanswered."""
    for found in await worries.unanswered_asks(desk.conn, desk.now):
        await worries.change_concern(desk.conn, found.id, state="open", ask_until=None)
        told = await tell(desk, found.id)
        carer = await people.carer(desk.conn, found.family_id, found.carer_id)
        if told is not None and carer is not None and carer.chat_id is not None:
            words = words_for(carer.language)
            await desk.say(
                Say(
                    chat_id=carer.chat_id,
                    text=words("advice.therapist_told"),
                    kind="concern",
                )
            )


async def tell_again(desk: Desk) -> None:
    """Repeat concerns that no therapist has seen yet."""
    for found in await worries.unseen(desk.conn, desk.now):
        await tell(desk, found.id)


async def tell_carer_it_was_read(desk: Desk, found: ConcernRow, reader: Therapist) -> None:
    """Tell the carer that the therapist has read their worry, once."""
    carer = await people.carer(desk.conn, found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None:
        return
    words = words_for(carer.language)
    await desk.say(
        Say(
            chat_id=carer.chat_id,
            text=words("advice.therapist_read"),
            kind="reply",
            key=f"read:{found.id}",
        )
    )
