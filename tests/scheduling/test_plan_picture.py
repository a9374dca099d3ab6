from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from matplotlib.image import imread

from bot.digest import plan_picture
from bot.digest.plan_picture import draw_plan
from scheduling.plan import Plan, plan_from
from scheduling.planner import plan_days
from tests.scheduling.families import activity, document

FIRST = date(2026, 3, 4)


@pytest.fixture
def plan() -> Plan:
    return plan_from(
        document(
            activity(minutes=40, side="alternate"),
            activity("roll", 10, moments=["bath"]),
            moments={"bath": ["18:00"]},
            feeds=["07:00", "12:00"],
            quiet=["20:00", "06:00"],
        )
    )


def drawn(plan: Plan, days: int, language: str = "en") -> tuple[int, int]:
    """Return the height and width of the picture in pixels."""
    height, width, _ = imread(BytesIO(draw_plan(plan, plan_days(plan, FIRST, days), language))).shape
    return height, width


def luminance(colour: str) -> float:
    """Return the relative luminance of #RRGGBB (WCAG 2.2, "relative luminance")."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_week_is_drawn_in_both_languages(plan: Plan, language: str) -> None:
    height, width = drawn(plan, 7, language)

    assert height > 500
    assert width > 1000


def test_more_days_make_a_taller_picture(plan: Plan) -> None:
    assert drawn(plan, 4)[0] > drawn(plan, 2)[0] > drawn(plan, 1)[0]


def test_days_without_prompts_and_a_plan_without_anything_are_drawn_too() -> None:
    assert drawn(plan_from(document(activity(), most_prompts=0)), 1)[0] > 100
    assert drawn(plan_from(document(awake=[])), 2)[0] > 100


def test_the_same_days_make_the_same_picture(plan: Plan) -> None:
    days = plan_days(plan, FIRST, 3)

    assert draw_plan(plan, days) == draw_plan(plan, days)


@pytest.mark.parametrize("fill", [*plan_picture._FILLS, plan_picture._AWAKE])
def test_ink_on_every_fill_has_the_contrast_that_wcag_asks_for_at_level_aaa(fill: str) -> None:
    contrast = (luminance(fill) + 0.05) / (luminance(plan_picture._INK) + 0.05)

    assert contrast >= 7
