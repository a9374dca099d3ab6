"""Life happens: asleep, later, unwell, away, pause and resume. The rest of the day is planned anew."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.conversation import planning
from bot.conversation.carer import counting
from bot.conversation.desk import Talk
from bot.conversation.shown import clock_shown, day_shown
from bot.records import day, notes, people
from bot.records.day import Reminder
from bot.records.people import Family
from bot.say import Button, Buttons, row
from scheduling.localtime import instant_for
from scheduling.plan import Plan

SHORTEST_SLEEP = timedelta(minutes=20)
LATER = timedelta(minutes=30)  # where a carer names no time
LONGEST_LATER = timedelta(hours=12)
# What "pause" offers, in days from today; 0: until the carer says.
PAUSES = {
    1: "pause.tomorrow_button",
    3: "pause.three_days_button",
    7: "pause.week_button",
    0: "pause.open_button",
}


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
        await day.drop_planned(talk.conn, talk.family.id, before=talk.now + wait)
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


# ---------------------------------------------------------------- unwell, away: a pause is offered


def unwell(talk: Talk) -> tuple[str, Buttons]:
    """Wish the baby well without a word on how they are, and offer a pause."""
    text = talk.words("pause.unwell", nickname=talk.family.nickname, nurse_line=talk.desk.clinic.nurse_line)
    return text, pause_buttons(talk)


def away(talk: Talk) -> tuple[str, Buttons]:
    return talk.words("pause.away"), pause_buttons(talk)


def pause_buttons(talk: Talk, *, but: int | None = None) -> Buttons:
    """Return how long a pause may be. but: the length that is chosen already."""
    buttons = [Button(talk.words.plain(key), f"pause:{days}") for days, key in PAUSES.items() if days != but]
    return tuple(tuple(buttons[i : i + 2]) for i in range(0, len(buttons), 2))


async def pause(talk: Talk, minutes: float | None) -> tuple[str, Buttons]:
    """Stop reminders at once: so long as said, else until tomorrow; other lengths are one tap away."""
    if minutes:
        days = None if minutes % 1440 else round(minutes / 1440)
        if days is None:
            return await _pause_until(talk, talk.now + timedelta(minutes=minutes), None)
        return await pause_days(talk, days)
    return await pause_days(talk, 1)


async def pause_days(talk: Talk, days: int) -> tuple[str, Buttons]:
    """Stop reminders until the start of the day `days` days from today; with 0 until the carer says."""
    until = instant_for(talk.today + timedelta(days=days), time(0), talk.family.zone) if days else None
    return await _pause_until(talk, until, days)


async def _pause_until(talk: Talk, until: datetime | None, days: int | None) -> tuple[str, Buttons]:
    await people.change_family(talk.conn, talk.family.id, state="paused", paused_until=until)
    await day.drop_planned(talk.conn, talk.family.id)
    seconds = int(until.timestamp()) if until is not None else 0
    await notes.add(talk.conn, talk.family.id, "pause", talk.now, until=seconds)
    nickname = talk.family.nickname
    if until is None:
        text = talk.words("pause.paused_open", nickname=nickname)
    else:
        local = talk.family.local(until)
        shown = day_shown(local.date(), talk.words)
        text = (
            talk.words("pause.paused_days", nickname=nickname, day=shown)
            if days is not None
            else talk.words(
                "pause.paused", nickname=nickname, day=shown, time=clock_shown(talk.family, until, talk.words)
            )
        )
    resume_row = row(Button(talk.words.plain("pause.resume_button"), "resume"))
    return text, (*pause_buttons(talk, but=days), resume_row)


async def pressed_pause(talk: Talk, argument: str) -> None:
    """ "pause:3": three days; "pause:ask": which lengths there are."""
    await talk.note()
    if argument == "ask":
        await talk.answer(talk.words("pause.how_long"), buttons=pause_buttons(talk))
        return
    if not argument.isdigit() or int(argument) not in PAUSES:
        return
    text, buttons = await pause_days(talk, int(argument))
    await counting.edit_pressed(talk, text, buttons)


async def resume(talk: Talk) -> str:
    """Start again: after a pause, or when the baby is awake, or when "later" is over by word."""
    was_paused = talk.family.state == "paused"
    was_asleep = talk.family.asleep_until is not None and talk.family.asleep_until > talk.now
    await people.change_family(
        talk.conn,
        talk.family.id,
        state="active" if was_paused else talk.family.state,
        paused_until=None,
        asleep_until=None,
        hold_until=None,
        plan_at=talk.now,
    )
    if was_paused:
        await notes.add(talk.conn, talk.family.id, "resume", talk.now)
    if was_asleep and not was_paused:
        return talk.words("pause.awake", nickname=talk.family.nickname)
    return talk.words("pause.resumed", nickname=talk.family.nickname)


async def pressed_resume(talk: Talk, argument: str) -> None:
    text = await resume(talk)
    await talk.note()
    await counting.edit_pressed(talk, text)
