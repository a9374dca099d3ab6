"""A span of time as each family lives it: in its own zone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from bot.domain.people import Family
from bot.parsing.period import Instants, Span
from scheduling.localtime import instant_for


@dataclass(frozen=True, slots=True)
class Period:
    """A span as one family lives it: [from_at, to_at), and the local dates that it touches, both included.

    by_date: whole dates, so that a session told later belongs to the day it was done on.
    """

    first: date
    last: date
    from_at: datetime
    to_at: datetime
    by_date: bool

    @property
    def start_before(self) -> datetime:
        """The start of the period before, as long as this one."""
        return self.from_at - (self.to_at - self.from_at)

    @property
    def dates_before(self) -> tuple[date, date]:
        days = self.last - self.first + timedelta(days=1)
        return self.first - days, self.last - days


def period_of(family: Family, span: Span) -> Period:
    """Return a span in a family's own zone."""
    if isinstance(span, Instants):
        first = family.local(span.from_at).date()
        last = family.local(span.to_at - timedelta(microseconds=1)).date()
        return Period(first, last, span.from_at, span.to_at, by_date=False)
    from_at = instant_for(span.first, time(0), family.zone)
    to_at = instant_for(span.last + timedelta(days=1), time(0), family.zone)
    return Period(span.first, span.last, from_at, to_at, by_date=True)
