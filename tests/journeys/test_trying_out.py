"""A therapist has a draft lived by invented families before anybody gets it; the real family notices nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import select

from bot.activities.library import Library
from bot.features.plan import trying
from bot.features.plan.trying import trial_text
from bot.phrases import Language, words_for
from bot.rehearsal.figures import ActivityMinutes, Lived, Sent
from bot.rehearsal.fit import Fit, Help, Short
from bot.rehearsal.living import Trial
from bot.storage.tables import metadata
from scheduling.reasons import Why
from tests.journeys.conftest import House
from tests.journeys.test_plan_building import press, write

# What may change when a therapist writes and is answered; everything else holds the family's data.
OF_TALKING = {"inbox", "outbox", "audit", "chats", "plan_drafts", "messages"}


def of_the_family(house: House) -> dict[str, list[Any]]:
    with house.store.read() as uow:
        return {
            table.name: [tuple(row) for row in uow.conn.execute(select(table))]
            for table in metadata.sorted_tables
            if table.name not in OF_TALKING
        }


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """One family and two days: the whole way, in little time."""
    monkeypatch.setattr(trying, "DAYS", 2)
    monkeypatch.setattr(trying, "KINDS", ("diligent",))


@pytest.mark.usefixtures("short")
async def test_a_draft_is_lived_told_with_a_picture_and_the_family_is_left_alone(house: House) -> None:
    await write(house, "/plan Pip")
    await write(house, "tummy 30/day")
    await press(house, ":day")
    heard, before = len(house.heard(house.robin)), of_the_family(house)

    told = await press(house, ":try")

    making, picture, numbers = house.heard(house.robin)[heard:]
    assert (
        "made-up families try this plan" in making.text and "Nothing goes to the family of Pip" in making.text
    )
    assert picture.kind == "photo"
    assert told == numbers.text
    assert "Does most of it" in told and "Reminders a day: " in told
    assert of_the_family(house) == before
    assert house.heard(house.mum) == house.heard(house.grandpa) == []

    assert "You tried this very plan" in await press(house, ":try")


async def test_the_trial_bears_neither_the_babys_name_nor_the_carers(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Trial] = []

    def live(trial: Trial, _: Library) -> list[Lived]:
        asked.append(trial)
        return [BUSY]

    monkeypatch.setattr(trying, "living", lambda: live)
    await write(house, "/plan Pip")
    await press(house, ":day")
    await press(house, ":try")
    await write(house, "tummy 20/day")
    await press(house, ":day")
    await press(house, ":try")

    first, second = asked
    assert not any(name in repr(first) for name in ("Pip", "Mum", "Grandpa", "5001", "5002", "'f1'"))
    assert first.first == MONDAY + timedelta(days=7)
    assert first.as_plan != second.as_plan


async def test_where_nothing_lives_trials_it_says_so(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trying, "living", lambda: None)
    await write(house, "/plan Pip")
    await press(house, ":day")

    assert "not set up here" in await press(house, ":try")


MONDAY = date(2026, 3, 2)
BUSY = Lived(
    kind="chaotic",
    title="Busy days",
    days=14,
    sent=tuple(Sent(MONDAY, 600, place > 0) for place in range(4)),
    answered=3,
    load=(6, 5, 4),
    activities=(ActivityMinutes("tummy_time", "Tummy time", 100, 25, 0, 0, 25),),
    digest=("To consider", "• Less <than> asked"),
)
SHORT = Fit(
    4,
    (Short("tummy_time", 40, 4, "minutes", Why("most_prompts", 6)),),
    (Help("most_prompts", None, 7, 0), Help("longest_session", "tummy_time", 15, 1.5)),
)


def test_the_text_says_what_came_of_it_what_does_not_fit_and_what_would_help() -> None:
    text = trial_text([BUSY], SHORT, "Pip", words_for("en"), lambda activity: f"the {activity}")

    assert (
        "Reminders a day: 0.3. Answered: 75%. Came at a bad time: 25%. Minutes of what you asked: 25%."
        in text
    )
    assert "at most 4 a day" in text
    assert "• Less &lt;than&gt; asked" in text and "To consider" not in text
    assert "⚠ the tummy_time: 4 of 40 min do not fit." in text
    assert "• At most 7 reminders a day. Then 0 min a day do not fit." in text
    assert "• the tummy_time, up to 15 min at once. Then 1.5 min a day do not fit." in text


@pytest.mark.parametrize(("language", "said"), [("en", "none sent"), ("es", "ninguno")])
def test_where_nothing_was_sent_no_share_is_made_up(language: Language, said: str) -> None:
    silent = replace(BUSY, sent=(), answered=0, activities=(), load=(6, 6), digest=())
    text = trial_text([silent], Fit(0, (), ()), "Pip", words_for(language), str)

    assert text.count(said) == 3
    assert "✓" in text
