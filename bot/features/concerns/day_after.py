"""The day after an urgent concern: when its carer is asked how the baby is. Pure.

Decided: they are asked once, in the morning and before any reminder; how many concerns there were makes no difference. What
must not show in the home is never asked about, and neither is what a therapist found to be no concern. The times are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.domain.concerns import ConcernRow
from bot.domain.ids import CarerId

IN_THE_MORNING = time(8)
AT_LEAST_AFTER = timedelta(hours=6)
"""A concern of the small hours is asked about on the morning after the next night."""
OPEN_FOR = timedelta(hours=36)
"""How long what a carer writes is taken for news of an urgent concern that no therapist has closed."""
STANDS = ("open", "seen", "answered")


def ask_at(told_at: datetime, zone: ZoneInfo) -> datetime:
    """Return the first morning hour, by the family's clock, that is late enough after a concern."""
    earliest = told_at + AT_LEAST_AFTER
    day = earliest.astimezone(zone).date()
    morning = datetime.combine(day, IN_THE_MORNING, zone)
    if morning < earliest:
        morning = datetime.combine(day + timedelta(days=1), IN_THE_MORNING, zone)
    return morning.astimezone(told_at.tzinfo)


def asked_about(found: ConcernRow) -> bool:
    """Whether a carer may be asked about a concern: urgent, standing, and nothing that must not show in the home."""
    return found.urgency != "tell_therapist" and found.state in STANDS and not found.discreet


def to_ask(due: Iterable[ConcernRow]) -> tuple[ConcernRow, ...]:
    """Return one concern a carer, the newest, of those that are due to be asked about."""
    newest = {each.carer_id: each for each in sorted(due, key=lambda each: each.id) if asked_about(each)}
    return tuple(newest.values())


def of_before(found: Sequence[ConcernRow], now: datetime, zone: ZoneInfo) -> bool:
    """Whether any of these concerns is of an earlier day than now, so that no reminder may come before the question."""
    today = now.astimezone(zone).date()
    return any(asked_about(each) and each.at.astimezone(zone).date() < today for each in found)


def news_of(found: Sequence[ConcernRow], carer_id: CarerId, now: datetime) -> ConcernRow | None:
    """Return the carer's newest urgent concern that no therapist has closed, where it is recent."""
    mine = [
        each
        for each in found
        if each.carer_id == carer_id and each.urgency != "tell_therapist" and now - each.at <= OPEN_FOR
    ]
    return max(mine, key=lambda each: each.id, default=None)
