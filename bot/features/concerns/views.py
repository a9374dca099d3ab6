"""TODO bot.features.concerns.views."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.domain.concerns import ConcernRow
from bot.domain.people import Family
from bot.features.context import Context
from bot.features.formats import quoted, when_shown
from bot.phrases import Words
from scheduling.plan import Baby


def age_shown(baby: Baby, now: datetime, family: Family, words: Words) -> str:
    """Return the age in weeks, and the corrected age where the baby was born before 37 weeks and is under two."""
    weeks = max(0, (family.local(now).date() - baby.born).days // 7)
    if baby.gestation_weeks >= 37 or weeks >= 104:
        return words.plain("therapist.age", n=weeks)
    return words.plain("therapist.age_corrected", n=weeks, corrected=weeks - (40 - baby.gestation_weeks))


def concern_text(context: Context, found: ConcernRow, family: Family, words: Words) -> str:
    """Return the alert: who, verbatim, when, what advice was sent, age, and last week in figures."""
    carer = context.uow.carers.find(family.id, found.carer_id)
    version = context.uow.plans.current(family.id)
    lines = [
        words(f"therapist.concern_{found.urgency}", nickname=family.nickname),
        words(
            "therapist.said",
            carer=carer.name if carer else found.carer_id,
            when=when_shown(found.at, family, words),
            text=quoted(found.text),
        ),
        *([age_shown(version.plan.baby, context.now, family, words)] if version else []),
        words("therapist.advice_sent" if found.advice else "therapist.no_advice_sent"),
        _week_line(context, family, words),
    ]
    if found.tellings:
        lines.insert(0, words("therapist.told_before", n=found.tellings))
    return "\n".join(lines)


def _week_line(context: Context, family: Family, words: Words) -> str:
    today = family.local(context.now).date()
    sessions = context.uow.entries.counted_between(family.id, today - timedelta(days=6), today)
    minutes = sum(session.minutes or 0 for session in sessions)
    if not sessions:
        return words("therapist.week_none")
    days = len({session.local_date for session in sessions})
    return words("therapist.week_line", minutes=f"{minutes:g}", days=days)
