"""What the therapist reads of a family between digests."""

from __future__ import annotations

import html
from datetime import datetime, timedelta

from babel.dates import format_datetime

from bot.conversation.desk import Desk, Talk
from bot.phrases import Verbatim, Words
from bot.records import day, log, people
from bot.records.people import Family
from bot.records.worries import ConcernRow
from scheduling.plan import Baby


def when_shown(instant: datetime, family: Family, words: Words) -> str:
    """Return a local moment as "Tue 3 Mar, 14:05"."""
    return str(format_datetime(family.local(instant), "EEE d MMM, HH:mm", locale=words.language))


def age_shown(baby: Baby, now: datetime, family: Family, words: Words) -> str:
    """Return the age in weeks, and the corrected age where the baby was born before 37 weeks and is under two."""
    weeks = max(0, (family.local(now).date() - baby.born).days // 7)
    if baby.gestation_weeks >= 37 or weeks >= 104:
        return words.plain("therapist.age", n=weeks)
    return words.plain("therapist.age_corrected", n=weeks, corrected=weeks - (40 - baby.gestation_weeks))


async def concern_text(desk: Desk, found: ConcernRow, family: Family, words: Words) -> str:
    """Return the alert: who, verbatim, when, what advice was sent, age, and last week in figures."""
    carer = await people.carer(desk.conn, family.id, found.carer_id)
    version = await day.plan_of(desk.conn, family.id)
    assert version is not None
    lines = [
        words(f"therapist.concern_{found.urgency}", nickname=family.nickname),
        words(
            "therapist.said",
            carer=carer.name if carer else found.carer_id,
            when=when_shown(found.at, family, words),
            text=Verbatim(f"<i>{html.escape(found.text, quote=False)}</i>"),
        ),
        age_shown(version.plan.baby, desk.now, family, words),
        words("therapist.advice_sent" if found.advice else "therapist.no_advice_sent"),
        await _week_line(desk, family, words),
    ]
    if found.tellings:
        lines.insert(0, words("therapist.told_before", n=found.tellings))
    return "\n".join(lines)


async def _week_line(desk: Desk, family: Family, words: Words) -> str:
    today = family.local(desk.now).date()
    sessions = await log.counted_between(desk.conn, family.id, today - timedelta(days=6), today)
    minutes = sum(session.minutes or 0 for session in sessions)
    return words(
        "therapist.week_line",
        minutes=f"{minutes:g}",
        n=len(sessions),
        days=len({s.local_date for s in sessions}),
    )


def question_text(talk: Talk, kind: str, activity: str | None, words: Words) -> str:
    key = {"contact": "therapist.wants_contact", "teachback": "therapist.teachback"}.get(
        kind, "therapist.question"
    )
    text = words(
        key,
        carer=talk.carer.name,
        nickname=talk.family.nickname,
        text=Verbatim(f"<i>{html.escape(talk.incoming.text, quote=False)}</i>"),
    )
    if activity:
        text += "\n" + words(
            "therapist.about_card", activity=talk.desk.library.in_sentence(activity, words.language)
        )
    return text
