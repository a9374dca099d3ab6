"""Keeping a day that a carer changed: a new version of the plan, seen by the therapist and told to the other carers."""

from __future__ import annotations

from bot.conversation.carer import counting
from bot.conversation.day import shape_shown
from bot.conversation.day.place_words import city_of
from bot.conversation.desk import Talk
from bot.phrases import Verbatim, words_for
from bot.records import audit, day, people
from bot.say import Button, Buttons, Say, row
from scheduling.plan import Plan, document_of


async def say(talk: Talk, text: str, buttons: Buttons = ()) -> None:
    """Say it in place of the message whose button was pressed, else as a new one."""
    if talk.incoming.press is not None:
        await counting.edit_pressed(talk, text, buttons)
    else:
        await talk.answer(text, buttons=buttons)


async def change(talk: Talk, new: Plan) -> None:
    """Make a new version of the plan with another day, have the day planned anew, and tell the other carers."""
    old = (await talk.plan()).plan
    await people.change_family(talk.conn, talk.family.id, shape_told_at=talk.now, shape_draft=None)
    if new == old:
        await say(talk, talk.words("shape.as_before"))
        return
    await keep_version(talk, new)
    lines = shape_shown.change_shown(old, new, talk.words)
    if new.time_zone != old.time_zone:
        zone_line = talk.words("shape.line_zone", city=city_of(new.time_zone, talk.words.language))
        lines = f"{lines}\n{zone_line}".strip()
    back = (await talk.plan()).version
    await say(
        talk,
        talk.words("shape.changed", nickname=talk.family.nickname, day=Verbatim(lines)),
        (row(Button(talk.words.plain("shape.undo_button"), f"shape:back:{back}")),),
    )


async def keep_version(talk: Talk, new: Plan) -> None:
    """Keep a plan that a carer changed; tell the other carers now unless it is their quiet time."""
    old = (await talk.plan()).plan
    quiet = shape_shown.in_quiet(old, talk.family.local(talk.now))
    therapist = await talk.therapist()
    words = words_for(therapist.language)
    version = await day.add_plan(
        talk.conn,
        talk.family.id,
        document_of(new),
        made_by=f"carer:{talk.carer.id}",
        now=talk.now,
        note=words.plain("shape.note", carer=talk.carer.name, day=_one_line(old, new, words.language)),
        told=not quiet,
    )
    await day.drop_planned(talk.conn, talk.family.id)
    await audit.note(
        talk.conn,
        who=f"carer:{talk.family.id}/{talk.carer.id}",
        what="day changed",
        now=talk.now,
        family_id=talk.family.id,
        detail=f"version {version}",
    )
    if not quiet:
        await _tell_others(talk, old, new)


def _one_line(old: Plan, new: Plan, language: str) -> str:
    words = words_for(language)
    lines = [shape_shown.part_shown(new, part, words) for part in shape_shown.changed_parts(old, new)]
    if new.time_zone != old.time_zone:
        lines.append(words.plain("shape.line_zone", city=city_of(new.time_zone, words.language)))
    return "; ".join(line.replace("<b>", "").replace("</b>", "") for line in lines)


async def _tell_others(talk: Talk, old: Plan, new: Plan) -> None:
    told = {talk.chat_id}
    for other in await people.carers_of(talk.conn, talk.family.id):
        if other.state != "active" or other.chat_id is None or other.chat_id in told:
            continue
        told.add(other.chat_id)
        words = words_for(other.language)
        await talk.desk.say(
            Say(
                chat_id=other.chat_id,
                family=talk.family.id,
                text=words(
                    "shape.changed_by",
                    carer=talk.carer.name,
                    nickname=talk.family.nickname,
                    day=_one_line(old, new, other.language),
                ),
            )
        )
