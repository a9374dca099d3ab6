"""A first session leaves the baby some minutes to wake where that costs nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scheduling.plan import plan_from
from scheduling.planner import plan_day
from tests.scheduling.families import activity, document

DAY = date(2026, 3, 4)


def starts(*activities: dict[str, Any], **rest: Any) -> list[str]:
    planned = plan_day(plan_from(document(*activities, **rest)), DAY)
    return [f"{prompt.at:%H:%M}" for prompt in planned.prompts]


NAP = [["07:00", "12:00"], ["13:10", "19:00"]]
"""The middle of this day lies in the nap, and the end of the nap is nearest to it."""


def test_a_session_does_not_stand_on_the_minute_at_which_a_nap_is_told_to_end() -> None:
    assert starts(activity(minutes=5, session=(5, 5)), awake=NAP) == ["13:20"]


def test_it_moves_as_far_as_a_feed_allows() -> None:
    asked = activity(minutes=5, session=(5, 5), before_feed=10, after_feed=300)

    assert starts(asked, awake=NAP, feeds=["06:55", "13:30"]) == ["13:15"]


def test_it_does_not_stand_on_the_minute_of_a_feed_for_that() -> None:
    assert starts(activity(minutes=5, session=(5, 5)), awake=NAP, feeds=["13:20"]) == ["13:21"]


def test_a_care_moment_stays_where_it_is() -> None:
    asked = activity(minutes=5, session=(5, 5), moments=["nappy"])

    assert starts(asked, moments={"nappy": ["07:00"]}) == ["07:00"]


@pytest.mark.parametrize("gap", [20, 25])
def test_nothing_goes_missing_by_it(gap: int) -> None:
    planned = plan_day(
        plan_from(
            document(activity(minutes=10, session=(5, 5)), awake=[["07:00", "07:30"]], shortest_gap=gap)
        ),
        DAY,
    )

    assert len(planned.prompts) == 2
    assert not planned.targets[0].short
