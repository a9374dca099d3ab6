"""The day's shape: asked in a few taps when a family begins, changed in chat whenever life changes.

A change is a new version of the plan, made by the carer, so that the therapist sees it among the plan's changes. Each
answer is kept at once (families.shape_draft): who leaves in the middle comes back to the next open question.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.conversation.carer.roles import is_day_care
from bot.conversation.day import day_kept, shape_change, shape_shown
from bot.conversation.day.clock_words import plain_letters
from bot.conversation.day.day_kept import say
from bot.conversation.day.place_words import city_of
from bot.conversation.day.shape_change import NoSuchDay, draft_of, with_shape, words_of_draft
from bot.conversation.day.shape_words import PARTS, Part, ShapeWords, read_shape
from bot.conversation.desk import Talk
from bot.phrases import Verbatim
from bot.records import day, log, outbox, people
from bot.records.people import Chat
from bot.replies.reading import Reading
from bot.say import Button, Buttons, row
from scheduling.plan import Plan

ASKED: tuple[Part, ...] = ("wake", "bed", "naps", "feeds", "bath")
YES = {"yes", "yes please", "ok", "okay", "right", "correct", "si", "sí", "claro", "vale", "👍", "y"}
HABIT = re.compile(
    r"(?<!\w)(?:is|are|now|new|usually|always|every|moved|changed|es|son|ahora|siempre|cada|cambi\w+)(?!\w)"
)
NO = {"no", "no thanks", "nope", "n"}


async def begin(talk: Talk) -> None:
    """After joining: ask for the day, or show the one that is known."""
    plan = (await talk.plan()).plan
    if is_day_care(talk.carer) or talk.family.shape_told_at is not None:
        await show(talk)
    elif plan.awake and talk.family.shape_draft is None:
        text = talk.words("shape.right_so", nickname=talk.family.nickname, day=_day(talk, plan))
        await talk.answer(text, buttons=_right_or_change(talk))
    else:
        await ask_next(talk)


async def show(talk: Talk) -> None:
    """Show the day as it is known, with the way to change it for those who may; or go on asking for it."""
    plan = (await talk.plan()).plan
    if not plan.awake or (talk.family.shape_draft is not None and not is_day_care(talk.carer)):
        if is_day_care(talk.carer):
            await talk.answer(talk.words("shape.not_known"))
        else:
            await ask_next(talk)
        return
    buttons = () if is_day_care(talk.carer) else (row(_button(talk, "change_button", "shape:change")),)
    text = talk.words("shape.this_day", nickname=talk.family.nickname, day=_day(talk, plan))
    if not is_day_care(talk.carer):
        text += "\n" + talk.words("shape.or_write")
    await say(talk, text, buttons)


def _day(talk: Talk, plan: Plan) -> Verbatim:
    return Verbatim(shape_shown.day_shown(plan, talk.words))


def _button(talk: Talk, name: str, data: str) -> Button:
    return Button(talk.words.plain(f"shape.{name}"), data)


def _right_or_change(talk: Talk) -> Buttons:
    return (row(_button(talk, "right_button", "shape:ok"), _button(talk, "change_button", "shape:change")),)


# ---------------------------------------------------------------- asking


async def ask_next(talk: Talk) -> None:
    """Ask for the first part that is not known yet; all known: show the day and ask whether it is right."""
    draft = talk.family.shape_draft or {}
    if "zone" not in draft:
        await ask_home_zone(talk)
        return
    known = words_of_draft({name: value for name, value in draft.items() if name != "zone"}).parts
    missing = [part for part in ASKED if part not in known]
    if missing:
        await ask(talk, missing[0], place=(ASKED.index(missing[0]) + 1, len(ASKED)))
        return
    await people.set_step(talk.conn, talk.chat_id, None)
    plan = await _drafted(talk, draft)
    text = talk.words("shape.right_so", nickname=talk.family.nickname, day=_day(talk, plan))
    await say(talk, text, _right_or_change(talk))


async def ask(talk: Talk, part: Part, *, place: tuple[int, int] | None = None) -> None:
    await people.set_step(talk.conn, talk.chat_id, "shape", part=part, asked_at=talk.now.isoformat())
    text = shape_shown.question(part, talk.family.nickname, talk.words)
    if place:
        text = talk.words("shape.place", n=place[0], of=place[1]) + " " + text
    await say(talk, text, shape_shown.choices(part, talk.words))


async def ask_home_zone(talk: Talk) -> None:
    """Ask where the family lives: in the clinic's time zone, or where?"""
    plan = (await talk.plan()).plan
    offered = dict.fromkeys((plan.time_zone, talk.desk.clinic.zone.key))
    await people.set_step(talk.conn, talk.chat_id, "zone", asked_at=talk.now.isoformat())
    buttons = [row(Button(city_of(zone, talk.words.language)[:24], f"zone:home:{zone}")) for zone in offered]
    await say(talk, talk.words("shape.ask_zone"), (*buttons, row(_button(talk, "elsewhere", "zone:ask"))))


async def _drafted(talk: Talk, draft: dict[str, Any]) -> Plan:
    """Return the plan with the answers so far. Raises NoSuchDay where they do not fit together."""
    plan = replace((await talk.plan()).plan, time_zone=draft.get("zone", talk.family.zone.key))
    return with_shape(plan, words_of_draft({name: value for name, value in draft.items() if name != "zone"}))


def being_asked(talk: Talk) -> bool:
    """Say whether the family's first day is still being asked for."""
    return talk.family.shape_told_at is None and talk.family.shape_draft is not None


async def keep_zone(talk: Talk, zone: str) -> None:
    """Keep the home zone as an answer of the first talk about the day."""
    await _keep(talk, {"zone": zone})


async def _keep(talk: Talk, answers: dict[str, Any]) -> None:
    draft = _with(talk.family.shape_draft or {}, answers)
    await people.change_family(talk.conn, talk.family.id, shape_draft=draft)
    await ask_next(await talk.renewed())


def _with(draft: dict[str, Any], answers: dict[str, Any]) -> dict[str, Any]:
    """Add answers to a draft; feeds are either named or every so many minutes, as said last."""
    if "feeds" in answers or "feeds_every" in answers:
        draft = {name: value for name, value in draft.items() if name not in ("feeds", "feeds_every")}
    return draft | answers


# ---------------------------------------------------------------- answers


async def take(talk: Talk, words: ShapeWords) -> None:
    """Take the answer to a part that was asked for."""
    await people.set_step(talk.conn, talk.chat_id, None)
    plan = (await talk.plan()).plan
    first_talk = talk.family.shape_told_at is None and (not plan.awake or being_asked(talk))
    try:
        if not first_talk:
            await day_kept.change(talk, with_shape(plan, words))
            return
        draft = _with(talk.family.shape_draft or {}, draft_of(words))
        if "wake" in draft and "bed" in draft:
            await _drafted(talk, draft)
        await _keep(talk, draft_of(words))
    except NoSuchDay as error:
        part = words.parts[0] if words.parts else "wake"
        await people.set_step(talk.conn, talk.chat_id, "shape", part=part, asked_at=talk.now.isoformat())
        await say(talk, talk.words(f"shape.wrong_{error.reason}"), shape_shown.choices(part, talk.words))


# ---------------------------------------------------------------- written words


async def answered(talk: Talk, chat: Chat, reading: Reading) -> bool:
    """Take a typed answer to a question about the day."""
    if not fresh(talk, chat):
        return False
    said = talk.incoming.text.strip().casefold().rstrip(".! ")
    if chat.step == "shape_words":
        if said not in YES | NO:
            return False
        await pressed(talk, "apply" if said in YES else "no")
        return True
    part = chat.data.get("part")
    if part not in PARTS:
        return False
    asked_at = datetime.fromisoformat(chat.data["asked_at"])
    if reading.entries and await day.open_reminder(talk.conn, talk.family.id, since=asked_at) is not None:
        return False  # a number after a newer reminder is minutes
    words = read_shape(talk.incoming.text, asked=part, names=(talk.family.nickname,))
    if words is None:
        return False
    await take(talk, words)
    return True


def fresh(talk: Talk, chat: Chat) -> bool:
    """Say whether the question of a step was asked lately."""
    asked_at = chat.data.get("asked_at")
    return asked_at is not None and talk.now - datetime.fromisoformat(asked_at) <= shape_shown.FRESH


async def told_in_words(talk: Talk, message_id: int, reading: Reading) -> bool:
    """ "Bath is at 6 now": ask before the day changes, since a plan hangs on it."""
    if is_day_care(talk.carer):
        return False
    words = read_shape(talk.incoming.text, names=(talk.family.nickname,))
    if words is None:
        return False
    if words.parts == ("bath",) and reading.entries and not HABIT.search(plain_letters(talk.incoming.text)):
        return False  # "bath at 6" may as well tell what was done
    plan = (await talk.plan()).plan
    if talk.family.shape_told_at is None and (not plan.awake or being_asked(talk)):
        await take(talk, words)
        return True
    try:
        new = with_shape(plan, words)
    except NoSuchDay as error:
        await talk.answer(talk.words(f"shape.wrong_{error.reason}"))
        return True
    if new == plan:
        await talk.answer(talk.words("shape.as_before"))
        return True
    await people.set_step(
        talk.conn, talk.chat_id, "shape_words", said=draft_of(words), asked_at=talk.now.isoformat()
    )
    await talk.answer(
        talk.words(
            "shape.shall_i",
            nickname=talk.family.nickname,
            day=Verbatim(shape_shown.change_shown(plan, new, talk.words)),
        ),
        about=f"message:{message_id}",
        buttons=(row(_button(talk, "yes_button", "shape:apply"), _button(talk, "no_button", "shape:no")),),
    )
    return True


# ---------------------------------------------------------------- buttons


async def pressed(talk: Talk, argument: str) -> None:
    """Do what a button about the day says: shape:ok, change, ask:PART, PART:ANSWER, apply, no, back:VERSION."""
    await talk.note()
    if is_day_care(talk.carer):
        return
    what, _, value = argument.partition(":")
    match what:
        case "ok":
            await _confirmed(talk)
        case "change":
            await say(talk, talk.words("shape.which_part"), shape_shown.parts_menu(talk.words))
        case "ask" if value in PARTS:
            await ask(talk, value)
        case "apply":
            await _apply(talk)
        case "no":
            await people.set_step(talk.conn, talk.chat_id, None)
            await say(talk, talk.words("shape.not_changed"))
        case "back" if value.isdigit():
            await _back_to(talk, int(value))
        case _:
            words = await _tapped(talk, what, value)
            if words is not None:
                await take(talk, words)


async def _confirmed(talk: Talk) -> None:
    if being_asked(talk):
        await day_kept.change(talk, await _drafted(talk, talk.family.shape_draft or {}))
        return
    await people.set_step(talk.conn, talk.chat_id, None)
    await people.change_family(talk.conn, talk.family.id, shape_told_at=talk.now)
    plan = (await talk.plan()).plan
    await say(talk, talk.words("shape.confirmed", day=_day(talk, plan)))


async def _apply(talk: Talk) -> None:
    """Change the day as the message said that is asked about; by a tap it is the one that the question stands for."""
    if talk.incoming.press is None:
        chat = await people.chat(talk.conn, talk.chat_id)
        await take(talk, words_of_draft(chat.data["said"]))
        return
    asked = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id or 0)
    about = (asked.about or "") if asked else ""
    kept = await log.message(talk.conn, int(about.removeprefix("message:"))) if about[8:].isdigit() else None
    words = read_shape(kept.text, names=(talk.family.nickname,)) if kept else None
    if words is not None:
        await take(talk, words)


async def _back_to(talk: Talk, version: int) -> None:
    """Put the day of an earlier version back; the rest of the plan stays as it is now."""
    earlier = next(
        (each.plan for each in await day.plan_versions(talk.conn, talk.family.id) if each.version == version),
        None,
    )
    if earlier is None:
        return
    plan = (await talk.plan()).plan
    await day_kept.change(
        talk,
        replace(
            plan,
            awake=earlier.awake,
            feeds=earlier.feeds,
            moments=earlier.moments,
            quiet=earlier.quiet,
            time_zone=earlier.time_zone,
        ),
    )


async def _tapped(talk: Talk, part: str, value: str) -> ShapeWords | None:
    """Return the answer that a button stands for, with the getting up and bed that are known so far."""
    draft = words_of_draft({k: v for k, v in (talk.family.shape_draft or {}).items() if k != "zone"})
    plan = (await talk.plan()).plan
    wake = draft.wake if draft.wake is not None else shape_change.wake_of(plan)
    bed = draft.bed if draft.bed is not None else shape_change.bed_of(plan)
    return shape_change.tapped(part, value, wake, bed)
