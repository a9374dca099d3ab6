"""What the therapist reads of a family between digests."""

from __future__ import annotations

import html
from datetime import datetime, timedelta

from babel.dates import format_datetime

from bot.conversation.desk import Desk
from bot.phrases import Verbatim, Words
from bot.records import day, log, people, threads, worries
from bot.records.people import Family
from bot.records.worries import ConcernRow, QuestionRow
from scheduling.plan import Baby

BEGINNING = 120  # characters of a thread's first message that are shown again


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
    lines = [
        words(f"therapist.concern_{found.urgency}", nickname=family.nickname),
        words(
            "therapist.said",
            carer=carer.name if carer else found.carer_id,
            when=when_shown(found.at, family, words),
            text=quoted(found.text),
        ),
        *([age_shown(version.plan.baby, desk.now, family, words)] if version else []),
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
    if not sessions:
        return words("therapist.week_none")
    days = len({session.local_date for session in sessions})
    return words("therapist.week_line", minutes=f"{minutes:g}", days=days)


async def question_text(desk: Desk, found: QuestionRow, family: Family, words: Words) -> str:
    """Return a question as the therapist reads it: who, verbatim, about which card, and how its thread began."""
    carer = await people.carer(desk.conn, family.id, found.carer_id)
    key = {"contact": "therapist.wants_contact", "teachback": "therapist.teachback"}.get(
        found.kind, "therapist.question"
    )
    text = words(
        key,
        carer=carer.name if carer else found.carer_id,
        nickname=family.nickname,
        text=quoted(found.text),
    )
    if found.activity:
        text += "\n" + words(
            "therapist.about_card", activity=desk.library.in_sentence(found.activity, words.language)
        )
    if found.thread:
        text += await _beginning(desk, found.thread, family, words)
    return text


def quoted(text: str) -> Verbatim:
    """Return somebody's own words as message HTML, in italics line by line, since markup must not span lines."""
    lines = html.escape(text, quote=False).split("\n")
    return Verbatim("\n".join(f"<i>{line}</i>" if line.strip() else line for line in lines))


async def _beginning(desk: Desk, thread: str, family: Family, words: Words) -> str:
    """Return the line that says how a thread began."""
    what, _, number = thread.partition(":")
    started = None
    if what == "concern" and (concern := await worries.concern(desk.conn, int(number))):
        started = (concern.at, concern.text)
    elif what == "question" and (question := await worries.question(desk.conn, int(number))):
        started = (question.at, question.text)
    elif what == "letter" and (letter := await threads.answer(desk.conn, int(number))):
        started = (letter.at, letter.text)
    if started is None:
        return ""
    at, text = started
    return "\n" + words("thread.began", when=when_shown(at, family, words), text=shortened(text))


def shortened(text: str) -> str:
    """Return the first words of a text, on one line."""
    flat = " ".join(text.split())
    return flat if len(flat) <= BEGINNING else flat[: BEGINNING - 1].rsplit(" ", 1)[0] + "…"
