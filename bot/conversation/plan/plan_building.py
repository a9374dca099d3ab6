"""Building a family's plan in chat: a draft is begun, changed by buttons and short lines, and shown after each change.

Nothing reaches the family before the therapist sends it (plan_sending). The draft is kept, so that a therapist can leave
and come back; the plan in force stays until then.
"""

from __future__ import annotations

import html
from dataclasses import replace

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.plan import plan_activities, plan_sending
from bot.conversation.plan import plan_buttons as choices
from bot.conversation.plan.plan_draft import ABOUT, STEP, Act, Building, building_for, change, show_draft
from bot.conversation.plan.plan_lines import note_shown, unread_shown
from bot.conversation.plan.plan_preview import show_day
from bot.conversation.plan.plan_templates import templates
from bot.conversation.plan.plan_vocabulary import names_of
from bot.conversation.plan.plan_words import read_plan_words
from bot.conversation.therapist.seen_families import families_named, families_seen_by, family_seen_by
from bot.phrases import words_for
from bot.records import audit, drafts, people
from bot.records.people import Family, Therapist
from bot.say import Button, Say, row

MOST_FAMILIES = 90  # buttons under one message: 100 at most, by the messaging service


async def command(desk: Desk, incoming: Incoming, therapist: Therapist, said: str) -> None:
    """/plan and /plan NICKNAME."""
    found = await families_named(desk, therapist, said) if said else await families_seen_by(desk, therapist)
    words = words_for(therapist.language)
    if len(found) == 1:
        await open_family(desk, incoming, therapist, found[0])
        return
    if not found:
        key = "plan.no_such_family" if said else "therapist.no_families"
        await desk.say(Say(chat_id=incoming.chat_id, text=words(key)))
        return
    found = sorted(found, key=lambda family: family.nickname.casefold())
    buttons = [Button(family.nickname[:24], f"plan:{family.id}") for family in found[:MOST_FAMILIES]]
    await desk.say(
        Say(chat_id=incoming.chat_id, text=words("plan.which_family"), buttons=choices.in_rows(buttons, 2))
    )


async def pressed_family(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await family_seen_by(desk, therapist, argument)
    if family is None:
        await desk.say(
            Say(chat_id=incoming.chat_id, text=words_for(therapist.language)("plan.no_such_family"))
        )
    else:
        await open_family(desk, incoming, therapist, family)


async def open_family(desk: Desk, incoming: Incoming, therapist: Therapist, family: Family) -> None:
    """Show a family's plan, ready to be changed: the draft where one was begun, else a copy of the plan in force."""
    building = await building_for(desk, incoming, therapist, family)
    if building is None:
        return
    await audit.note(
        desk.conn, who=f"therapist:{therapist.id}", what="plan opened", now=desk.now, family_id=family.id
    )
    await building.listen()
    await show_draft(building, anew=True)


async def pressed(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Do what a button of a draft says: "DRAFT:OP:…"."""
    number, _, rest = argument.partition(":")
    op, _, value = rest.partition(":")
    building = await _of_draft(desk, incoming, therapist, number)
    act = ACTS.get(op)
    if building is None or act is None:
        await desk.say(Say(chat_id=incoming.chat_id, text=words_for(therapist.language)("plan.draft_gone")))
        return
    await building.listen()
    await act(building, value)


async def _of_draft(desk: Desk, incoming: Incoming, therapist: Therapist, number: str) -> Building | None:
    draft = await drafts.draft(desk.conn, int(number)) if number.isdigit() and len(number) < 16 else None
    if draft is None or draft.therapist_id != therapist.id:
        return None
    family = await family_seen_by(desk, therapist, draft.family_id)
    return None if family is None else await building_for(desk, incoming, therapist, family)


async def wrote(desk: Desk, incoming: Incoming, therapist: Therapist, quoted: str | None) -> bool:
    """Take a typed line about a draft; return whether it was one. quoted: what the message it answers is about."""
    number = None
    if quoted is not None:
        number = quoted.removeprefix(ABOUT) if quoted.startswith(ABOUT) else None
    else:
        chat = await people.chat(desk.conn, incoming.chat_id)
        if chat.step == STEP:
            number = str(chat.data["draft"])
    building = await _of_draft(desk, incoming, therapist, number) if number else None
    if building is None:
        return False
    await building.listen()
    read = read_plan_words(incoming.text, building.draft.plan, building.today, names_of(desk.library))
    notes = await change(building, read.changes)
    said = [unread_shown(read.unread, building.words)] if read.unread else []
    said += [note_shown(note, building.words, building.name_of) for note in notes]
    if not read.changes:
        about = building.words("plan.taken_for", nickname=building.family.nickname)
        await building.say("\n".join([about, *said, building.words("plan.how_to")]))
        return True
    await show_draft(building, said=said)
    return True


async def _show(building: Building, value: str) -> None:
    await show_draft(building)


async def _over(building: Building, value: str) -> None:
    """Offer what a draft may start from: a template, nothing, or the plan in force."""
    words, number = building.words, building.draft.id
    offered = [
        choices.button(each.text(words.language).name, number, "tpl", each.id)
        for each in templates().values()
    ]
    others = row(
        choices.button(words.plain("plan.nothing_button"), number, "tpl", "nothing"),
        choices.button(words.plain("plan.present_button"), number, "tpl", "present"),
    )
    about = "\n".join(
        f"<b>{html.escape(text.name, quote=False)}</b>: {html.escape(text.about, quote=False)}"
        for text in (each.text(words.language) for each in templates().values())
    )
    await building.show(
        words("plan.start_from") + "\n" + about + "\n" + words("plan.templates_unreviewed"),
        (*choices.in_rows(offered, 2), others, choices.back_row(number, words)),
    )


async def _template(building: Building, value: str) -> None:
    if value == "present":
        await building.keep(building.in_force.plan)
    elif value == "nothing":
        await building.keep(replace(building.draft.plan, activities=()))
    elif (template := templates().get(value)) is not None:
        await building.keep(template.started(building.draft.plan))
    await show_draft(building)


async def _day(building: Building, value: str) -> None:
    await show_day(building)


ACTS: dict[str, Act] = {
    "show": _show,
    "over": _over,
    "tpl": _template,
    "day": _day,
    **plan_activities.ACTS,
    **plan_sending.ACTS,
}
