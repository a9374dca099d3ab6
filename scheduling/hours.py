"""When reminders may come in a week, as the family asked. Pure.

Beside the plan and apart from it: the therapist's plan says when the baby is awake, the family when it wants to hear.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import TypeAlias

from scheduling.plan import MIDNIGHT, Plan

Span: TypeAlias = tuple[int, int]
Hours: TypeAlias = tuple[tuple[Span, ...], ...]
"""The open spans of each weekday, Monday first, in minutes of the wall clock: rising, apart, (from, to)."""

ALL_DAY: tuple[Span, ...] = ((0, MIDNIGHT),)
ALWAYS: Hours = (ALL_DAY,) * 7


def met(hours: Hours, wanted: Sequence[Span], days: Iterable[int]) -> Hours:
    """Return the hours with the spans of some weekdays (Monday is 0) narrowed to what is wanted there."""
    chosen = frozenset(days)
    return tuple(common(spans, wanted) if day in chosen else spans for day, spans in enumerate(hours))


def common(first: Sequence[Span], second: Sequence[Span]) -> tuple[Span, ...]:
    """Return what both hold."""
    both = ((max(a[0], b[0]), min(a[1], b[1])) for a in first for b in second)
    return tuple(sorted(span for span in both if span[0] < span[1]))


def within(plan: Plan, hours: Hours, day: date) -> Plan | None:
    """Return the plan with what the family asked for on a local day; None where no reminder may come that day.

    The hours before the first open span and after the last become quiet time, where the plan's own allows that as one
    span; what lies between open spans is taken out of the waking spans.
    """
    spans = hours[day.weekday()]
    if spans == ALL_DAY:
        return plan
    begins, ends = plan.quiet or (MIDNIGHT, 0)
    if begins < ends:  # quiet in the middle of the day stays; the rest is taken out of the waking spans
        awake = common(plan.awake, spans)
        return replace(plan, awake=awake) if awake else None
    spans = common(spans, ((ends, begins),))
    between = (
        ((0, MIDNIGHT),) if len(spans) <= 1 else ((0, spans[0][1]), *spans[1:-1], (spans[-1][0], MIDNIGHT))
    )
    awake = common(plan.awake, between)
    if not common(awake, spans):
        return None
    quiet = spans[-1][1] % MIDNIGHT, spans[0][0]
    return replace(plan, awake=awake, quiet=quiet if quiet[0] != quiet[1] else None)


def hours_from(stored: object) -> Hours:
    """Return the hours of their stored form (JSON lists); ALWAYS for none."""
    if not isinstance(stored, list):
        return ALWAYS
    return tuple(tuple((int(start), int(end)) for start, end in spans) for spans in stored)
