"""Life happens: asleep, later, unwell, away, pause and resume. The rest of the day is planned anew."""

from __future__ import annotations

from datetime import datetime, timedelta

from babel.dates import format_date, format_time

from bot.conversation import counting, planning
from bot.conversation.desk import Talk
from bot.phrases import Words
from bot.records import day, people
from bot.records.day import Reminder
from bot.records.people import Family
from bot.say import Button, Buttons, row
from scheduling.localtime import instant_for
from scheduling.plan import Plan

SHORTEST_SLEEP = timedelta(minutes=20)
LATER = timedelta(minutes=30)  # where a carer names no time
LONGEST_LATER = timedelta(hours=12)
PAUSE = timedelta(days=1)  # where a carer names no time


def clock_shown(family: Family, instant: datetime, words: Words) -> str:
    """Return a local time as people of that language read it: 4:30 PM, 16:30."""
    local = family.local(instant)
    return str(
        format_time(
            local.timetz().replace(tzinfo=None), "short", locale="es" if words.language == "es" else "en_US"
        )
    )


async def asleep(talk: Talk) -> tuple[str, Buttons]:
    """Hold reminders back until the baby is awake again, by word or by the day's shape; at least 20 minutes."""
    plan = (await talk.plan()).plan
    until = wakes_at(plan, talk.family, talk.now)
    await people.change_family(talk.conn, talk.family.id, asleep_until=until, plan_at=talk.now)
    await day.drop_planned(talk.conn, talk.family.id, before=until)
    text = talk.words(
        "pause.asleep", nickname=talk.family.nickname, time=clock_shown(talk.family, until, talk.words)
    )
    return text, (row(Button(talk.words.plain("pause.awake_button"), "awake")),)


def wakes_at(plan: Plan, family: Family, now: datetime) -> datetime:
    """Return when a baby who sleeps now is usually awake: the next waking span to begin, 20 minutes away or more."""
    earliest = now + SHORTEST_SLEEP
    today = family.local(now).date()
    for offset in range(3):
        for start, _ in plan.awake:
            begins = instant_for(today + timedelta(days=offset), start, family.zone)
            if begins > now:
                return max(begins, earliest)
    return earliest


async def pressed_awake(talk: Talk, argument: str) -> None:
    await awake(talk)
    await talk.note()
    await counting.edit_pressed(talk, talk.words("pause.awake", nickname=talk.family.nickname))


async def awake(talk: Talk) -> None:
    await people.change_family(talk.conn, talk.family.id, asleep_until=None, plan_at=talk.now)


async def later(talk: Talk, reminder: Reminder | None, minutes: float | None) -> str:
    """Bring a reminder back after `minutes` (30 where none are named), at a moment that the plan allows."""
    wait = min(timedelta(minutes=minutes) if minutes else LATER, LONGEST_LATER)
    if reminder is None:
        await people.change_family(talk.conn, talk.family.id, hold_until=talk.now + wait, plan_at=talk.now)
        return talk.words("pause.hold", time=clock_shown(talk.family, talk.now + wait, talk.words))
    if reminder.state in ("sent", "expired"):
        await day.mark_reminder(talk.conn, reminder.id, "later", now=talk.now)
    plan = (await talk.plan()).plan
    at = await planning.bring_back(talk.desk, talk.family, plan, reminder, talk.now + wait)
    if at is None:
        return talk.words("pause.later_not_today", activity=talk.activity_name(reminder.activity))
    return talk.words(
        "pause.later",
        activity=talk.activity_name(reminder.activity),
        time=clock_shown(talk.family, at, talk.words),
    )


async def pause(talk: Talk, minutes: float | None) -> tuple[str, Buttons]:
    """Stop reminders for a while: so long as said, else until tomorrow."""
    until = talk.now + (timedelta(minutes=minutes) if minutes else PAUSE)
    await people.change_family(talk.conn, talk.family.id, state="paused", paused_until=until)
    await day.drop_planned(talk.conn, talk.family.id)
    local = talk.family.local(until)
    shown = format_date(local.date(), "EEEE d MMMM", locale=talk.carer.language)
    text = talk.words(
        "pause.paused",
        nickname=talk.family.nickname,
        day=shown,
        time=clock_shown(talk.family, until, talk.words),
    )
    return text, (row(Button(talk.words.plain("pause.resume_button"), "resume")),)


async def resume(talk: Talk) -> str:
    was_paused = talk.family.state == "paused"
    await people.change_family(
        talk.conn,
        talk.family.id,
        state="active" if was_paused else talk.family.state,
        paused_until=None,
        asleep_until=None,
        hold_until=None,
        plan_at=talk.now,
    )
    return talk.words("pause.resumed", nickname=talk.family.nickname)


async def pressed_resume(talk: Talk, argument: str) -> None:
    text = await resume(talk)
    await talk.note()
    await counting.edit_pressed(talk, text)
