"""When a family wants its reminders, laid over the plan's day."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.hours import ALWAYS, common, hours_from, met, within
from scheduling.plan import MIDNIGHT, plan_from
from scheduling.planner import plan_day
from tests.journeys.conftest import CASELOAD

PLAN = plan_from(CASELOAD["families"][0]["plan"])  # awake 7 to 19:30, quiet 20:00 to 7:00
SUNDAY, MONDAY = date(2026, 3, 8), date(2026, 3, 9)
SPAN = st.tuples(st.integers(0, MIDNIGHT - 1), st.integers(1, MIDNIGHT)).filter(
    lambda span: span[0] < span[1]
)


@pytest.mark.parametrize(
    ("spans", "quiet"),
    [
        (((480, MIDNIGHT),), (20 * 60, 480)),
        (((0, 720),), (720, 7 * 60)),
        (((540, 1020),), (1020, 540)),
        (((0, 21 * 60),), (20 * 60, 7 * 60)),
    ],
)
def test_what_is_left_out_at_the_ends_of_the_day_is_quiet_time(
    spans: tuple[tuple[int, int], ...], quiet: tuple[int, int]
) -> None:
    day = within(PLAN, met(ALWAYS, spans, range(7)), MONDAY)

    assert day is not None
    assert (day.quiet, day.awake) == (quiet, PLAN.awake)


def test_a_day_without_reminders_is_no_day_to_plan_and_the_next_is_as_ever() -> None:
    hours = met(ALWAYS, (), {6})

    assert within(PLAN, hours, SUNDAY) is None
    assert within(PLAN, hours, MONDAY) == PLAN


def test_hours_in_the_middle_of_the_day_are_taken_out_of_the_waking_spans() -> None:
    day = within(PLAN, met(ALWAYS, ((0, 660), (720, MIDNIGHT)), range(7)), MONDAY)

    assert day is not None
    assert day.awake == ((420, 540), (630, 660), (720, 750), (840, 960), (1050, 1170))


@given(spans=st.lists(SPAN, max_size=3), days=st.sets(st.integers(0, 6)))
def test_no_reminder_comes_outside_the_hours_asked_for(spans: list[tuple[int, int]], days: set[int]) -> None:
    hours = met(ALWAYS, common(spans, ((0, MIDNIGHT),)), days)
    plan = within(PLAN, hours, MONDAY)
    open_spans = hours[MONDAY.weekday()]

    for prompt in plan_day(plan, MONDAY).prompts if plan is not None else ():
        minute = prompt.at.hour * 60 + prompt.at.minute
        assert any(start <= minute and minute + prompt.minutes <= end for start, end in open_spans)


@given(spans=st.lists(SPAN, max_size=3), days=st.sets(st.integers(0, 6)))
def test_what_is_stored_is_read_again(spans: list[tuple[int, int]], days: set[int]) -> None:
    hours = met(ALWAYS, common(spans, ((0, MIDNIGHT),)), days)

    assert hours_from([[list(span) for span in day] for day in hours]) == hours
