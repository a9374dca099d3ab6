"""What a therapist does with a worry: seen, called, wrong alarm, or an answer. The carer hears once that it was read."""

from __future__ import annotations

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import covering, therapist_words
from bot.phrases import Verbatim, Words, words_for
from bot.records import audit, outbox, people, worries
from bot.records.people import Therapist
from bot.records.worries import ConcernRow
from bot.say import Button, Buttons, Say, row

STATES = {"seen": "seen", "called": "answered", "wrong": "wrong", "answered": "answered"}


def alert_buttons(found: ConcernRow, words: Words) -> Buttons:
    """Return what can be done with a worry that nobody has seen."""
    seen, answer, called, wrong = _buttons(found, words)
    return row(seen, answer), row(called, wrong), *_advice_row(found, words)


def _left_buttons(found: ConcernRow, state: str, words: Words) -> Buttons:
    """Return what can still be done once somebody has seen it."""
    _, answer, called, wrong = _buttons(found, words)
    if state == "seen":
        return row(answer, called), row(wrong), *_advice_row(found, words)
    return row(answer), *_advice_row(found, words)


def _buttons(found: ConcernRow, words: Words) -> tuple[Button, Button, Button, Button]:
    return (
        Button(words.plain("therapist.seen_button"), f"seen:{found.id}"),
        Button(words.plain("therapist.answer_button"), f"answer:{found.id}"),
        Button(words.plain("therapist.called_button"), f"called:{found.id}"),
        Button(words.plain("therapist.wrong_button"), f"wrong:{found.id}"),
    )


def _advice_row(found: ConcernRow, words: Words) -> Buttons:
    if not found.advice:
        return ()
    return (row(Button(words.plain("settle.advice_button"), f"advice:{found.id}")),)


async def told_to(desk: Desk, therapist: Therapist, about: str) -> bool:
    """Say whether a therapist was told of something in their own chat."""
    return therapist.chat_id is not None and bool(await outbox.said_in(desk.conn, about, therapist.chat_id))


async def own_concern(desk: Desk, therapist: Therapist, argument: str) -> ConcernRow | None:
    """Return a worry of a family that this therapist sees, or one that was told to them since nobody else could be."""
    found = await worries.concern(desk.conn, int(argument)) if argument.isdigit() else None
    if found is None:
        return None
    if await covering.may_see(desk, therapist, found.family_id) or await told_to(
        desk, therapist, found.about
    ):
        return found
    return None


async def settle(desk: Desk, found: ConcernRow, therapist: Therapist, what: str) -> None:
    """Mark a worry; it is told no more, and the carer hears once that it was read. what: a key of STATES."""
    # An answer says by itself that the worry was read.
    read_note = found.seen_at is None and what != "answered"
    dealt_with = what in ("called", "answered")
    state = STATES[what]
    if what == "seen" and found.state in ("answered", "wrong"):
        state = found.state
    await worries.change_concern(
        desk.conn,
        found.id,
        state=state,
        seen_at=found.seen_at or desk.now,
        answered_at=found.answered_at or (desk.now if dealt_with else None),
        next_tell_at=None,
        handled_by=therapist.id,
    )
    if read_note:
        await _tell_carer_it_was_read(desk, found, therapist)
    await _show_everywhere(desk, found, therapist, state, what)
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what=f"concern {what}",
        now=desk.now,
        family_id=found.family_id,
        detail=str(found.id),
    )


async def _tell_carer_it_was_read(desk: Desk, found: ConcernRow, reader: Therapist) -> None:
    carer = await people.carer(desk.conn, found.family_id, found.carer_id)
    if carer is None or carer.chat_id is None or carer.state == "left":
        return
    text = words_for(carer.language)("worry.read", therapist=reader.name)
    await desk.say(Say(chat_id=carer.chat_id, family=found.family_id, text=text, key=f"read:{found.id}"))


async def _show_everywhere(
    desk: Desk, found: ConcernRow, therapist: Therapist, state: str, what: str
) -> None:
    """Show under every telling, in every therapist's chat, who has dealt with it and how."""
    family = await people.family(desk.conn, found.family_id)
    for reader in await people.all_therapists(desk.conn):
        if reader.chat_id is None or family is None:
            continue
        words = words_for(reader.language)
        when = therapist_words.when_shown(desk.now, family, words)
        status = words(f"settle.{what}", therapist=therapist.name, when=when)
        buttons = _left_buttons(found, state, words)
        said = [
            each for each in await outbox.said_in(desk.conn, found.about, reader.chat_id) if each.has_buttons
        ]
        for each in said:
            # Only the newest telling keeps buttons, so that the chat shows one place to act.
            await desk.say(
                Say(
                    chat_id=reader.chat_id,
                    text=words("settle.with_status", text=Verbatim(each.text), status=Verbatim(status)),
                    buttons=buttons if each is said[-1] else (),
                    edits=each.id,
                )
            )


async def _pressed(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str, what: str) -> None:
    found = await own_concern(desk, therapist, argument)
    words = words_for(therapist.language)
    if found is None:
        await desk.say(Say(chat_id=incoming.chat_id, text=words("therapist.not_yours")))
        return
    await settle(desk, found, therapist, what)


async def pressed_seen(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await _pressed(desk, incoming, therapist, argument, "seen")


async def pressed_called(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await _pressed(desk, incoming, therapist, argument, "called")


async def pressed_wrong(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await _pressed(desk, incoming, therapist, argument, "wrong")


async def pressed_advice(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Show word for word what advice the carer got."""
    found = await own_concern(desk, therapist, argument)
    words = words_for(therapist.language)
    if found is None or not found.advice:
        await desk.say(Say(chat_id=incoming.chat_id, text=words("therapist.not_yours")))
        return
    carer = await people.carer(desk.conn, found.family_id, found.carer_id)
    said = (
        [each.text for each in await outbox.said_in(desk.conn, found.about, carer.chat_id)]
        if carer is not None and carer.chat_id is not None
        else []
    )
    text = "\n\n".join(said) if said else words("settle.advice_gone")
    await desk.say(Say(chat_id=incoming.chat_id, text=words("settle.advice", text=Verbatim(text))))
