"""A reminder of a movement within a care moment: it names the moment, and no minutes."""

from __future__ import annotations

from typing import Any

import pytest

from bot.activities.library import load_library
from bot.features.reminders.views import is_woven, reminder_buttons, reminder_text
from bot.phrases import words_for
from scheduling.plan import plan_from
from tests.features.states import carer, reminder
from tests.scheduling.families import activity, document

PLAN = plan_from(document(activity("rolling") | {"target": {"times": 6}}))


def title_of(because: Any, language: str = "en", side: str | None = None) -> str:
    asked = reminder(activity="rolling", minutes=2, because=because, side=side)
    text = reminder_text(load_library(), asked, PLAN, carer(language=language))
    return text.splitlines()[0]


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", "<b>Pip</b>: this nappy change, "), ("es", "<b>Pip</b>: en este cambio de pañal, ")],
)
def test_a_woven_reminder_names_the_care_moment_and_no_minutes(language: str, said: str) -> None:
    title = title_of({"times": True, "moment": "nappy"}, language)

    assert title.startswith(said)
    assert " min" not in title


def test_a_woven_reminder_names_the_side_that_is_due() -> None:
    assert title_of({"times": True, "moment": "bath"}, side="left").endswith("left side.")


def test_a_reminder_of_minutes_names_them() -> None:
    for because in ({"times": False, "moment": "nappy"}, {"moment": None}, {}):
        assert not is_woven(reminder(because=because))
        assert "2 min" in title_of(because)


def test_the_button_of_a_woven_reminder_says_done() -> None:
    asked = reminder(because={"times": True, "moment": None})

    assert reminder_buttons(asked, words_for("en"))[0][0].label == "✓ Done"
