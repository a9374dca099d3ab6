"""Handing a family over: a colleague is asked, accepts or declines, and the family hears who their therapist is now."""

from __future__ import annotations

from bot.conversation import worrying
from bot.conversation.by_day import say_by_day
from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import caseload
from bot.conversation.therapist.therapist_talk import chosen_family, edit_pressed, own_family, say, short
from bot.phrases import words_for
from bot.records import audit, handovers, people, worries
from bot.records.handovers import Handover
from bot.records.people import Family, Therapist
from bot.say import Button, Say, row

STEP = "handover"


async def hand_over(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/handover FAMILY: to whom?"""
    family = await chosen_family(desk, incoming, therapist, wanted, "handover")
    if family is not None:
        await pressed_family(desk, incoming, therapist, family.id)


async def pressed_family(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await own_family(desk, incoming, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    colleagues = [
        each for each in await people.all_therapists(desk.conn) if each.id != therapist.id and each.reachable
    ]
    if not colleagues:
        await say(desk, incoming, words("cover.alone"))
        return
    await people.set_step(desk.conn, incoming.chat_id, STEP, family=family.id)
    buttons = tuple(row(Button(short(each.name), f"ho:{each.id}")) for each in colleagues)
    await say(desk, incoming, words("handover.to_whom", nickname=family.nickname), buttons)


async def pressed_colleague(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Ask the colleague, who sees the nickname alone until they accept."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.step != STEP:
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
        return
    family = await own_family(desk, incoming, therapist, str(chat.data["family"]))
    colleague = await people.therapist(desk.conn, argument)
    if family is None or colleague is None or colleague.id == therapist.id:
        return
    await people.set_step(desk.conn, incoming.chat_id, None)
    handover_id = await handovers.ask(
        desk.conn, family_id=family.id, from_id=therapist.id, to_id=colleague.id, now=desk.now
    )
    words, theirs = words_for(therapist.language), words_for(colleague.language)
    await edit_pressed(
        desk, incoming, words("handover.asked", therapist=colleague.name, nickname=family.nickname)
    )
    await desk.tell_therapist(
        colleague,
        theirs("handover.offer", therapist=therapist.name, nickname=family.nickname),
        buttons=(
            row(
                Button(theirs.plain("handover.accept_button"), f"hoyes:{handover_id}"),
                Button(theirs.plain("handover.decline_button"), f"hono:{handover_id}"),
            ),
        ),
    )
    await _note(desk, therapist, family, "handover asked", colleague.id)


async def pressed_accept(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    found = await _open(desk, incoming, therapist, argument)
    family = await people.family(desk.conn, found.family_id) if found else None
    if found is None or family is None:
        return
    await handovers.settle(desk.conn, found.id, "accepted", desk.now)
    await people.change_family(desk.conn, family.id, therapist_id=therapist.id)
    words = words_for(therapist.language)
    await edit_pressed(desk, incoming, words("handover.yours", nickname=family.nickname))
    await _tell_others(desk, therapist, found, family)
    await _note(desk, therapist, family, "handover accepted", found.from_id)
    await caseload.pressed_card(desk, incoming, therapist, family.id)
    # Worries that nobody has seen are the new therapist's from now on, at once.
    for concern in await worries.open_concerns(desk.conn, family.id):
        if concern.state == "open" and concern.urgency != "tell_therapist":
            await worrying.tell(desk, concern.id)


async def _tell_others(desk: Desk, therapist: Therapist, found: Handover, family: Family) -> None:
    before = await people.therapist(desk.conn, found.from_id)
    if before is not None:
        text = words_for(before.language)("handover.done", therapist=therapist.name, nickname=family.nickname)
        await desk.tell_therapist(before, text)
    for carer in await people.carers_of(desk.conn, family.id):
        if carer.state == "active" and carer.chat_id is not None:
            text = words_for(carer.language)(
                "handover.family", therapist=therapist.name, nickname=family.nickname
            )
            await say_by_day(desk, family, Say(chat_id=carer.chat_id, family=family.id, text=text))


async def pressed_decline(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    found = await _open(desk, incoming, therapist, argument)
    family = await people.family(desk.conn, found.family_id) if found else None
    if found is None or family is None:
        return
    await handovers.settle(desk.conn, found.id, "declined", desk.now)
    words = words_for(therapist.language)
    await edit_pressed(desk, incoming, words("handover.you_declined", nickname=family.nickname))
    asker = await people.therapist(desk.conn, found.from_id)
    if asker is not None:
        text = words_for(asker.language)(
            "handover.declined", therapist=therapist.name, nickname=family.nickname
        )
        await desk.tell_therapist(asker, text)
    await _note(desk, therapist, family, "handover declined", found.from_id)


async def _open(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> Handover | None:
    """Return the offer that a button names, if it is open, for this therapist, and still the asker's to make."""
    found = await handovers.handover(desk.conn, int(argument)) if argument.isdigit() else None
    family = await people.family(desk.conn, found.family_id) if found else None
    if (
        found is not None
        and family is not None
        and found.to_id == therapist.id
        and found.state == "asked"
        and family.therapist_id == found.from_id
    ):
        return found
    await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
    return None


async def _note(desk: Desk, therapist: Therapist, family: Family, what: str, detail: str) -> None:
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what=what,
        now=desk.now,
        family_id=family.id,
        detail=detail,
    )
