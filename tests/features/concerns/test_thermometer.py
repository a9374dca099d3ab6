"""A fever told without a number: the thermometer first, where the age allows it; what comes back decides."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.concerns.finding import Concern
from bot.concerns.reader import find_concerns
from bot.domain.ids import MessageId
from bot.features.concerns import rules
from bot.features.concerns.contents import Measured
from bot.features.concerns.effects import (
    NEW,
    Advise,
    AskTemperature,
    ConfirmConcern,
    DenyConcern,
    KeepConcern,
    NotifyTherapists,
)
from bot.features.effects import Reply
from bot.parsing.thermometer import temperature_said
from tests.features.concerns.cases import concern

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MESSAGE = MessageId(40)
HEAT = Concern("same_day", ("feels_hot",))


def found(text: str, weeks: int) -> Concern:
    read = find_concerns(text, age_weeks=weeks, affected_side="right").concern
    assert read is not None
    return read


@pytest.mark.parametrize("text", ["she feels hot", "he has a fever", "tiene fiebre", "está muy caliente"])
def test_the_thermometer_comes_first_from_three_months_on_and_never_before(text: str) -> None:
    assert rules.asks_for_thermometer(found(text, 14), figure_told=False)
    assert not rules.asks_for_thermometer(found(text, 12), figure_told=False)


def test_never_beside_another_sign_or_a_figure() -> None:
    assert not rules.asks_for_thermometer(found("fever and floppy", 14), figure_told=False)
    assert not rules.asks_for_thermometer(found("she feels hot and won't feed", 14), figure_told=False)
    assert not rules.asks_for_thermometer(HEAT, figure_told=True)


def test_unanswered_it_stands_as_it_was_told() -> None:
    effects = rules.decide_ask_temperature((), MESSAGE, HEAT, NOW)

    assert effects == (KeepConcern(HEAT, MESSAGE, NOW + timedelta(minutes=10)), AskTemperature(NEW))
    assert rules.decide_ask_temperature((concern(state="asked"),), MESSAGE, HEAT, NOW) == ()


def test_a_high_number_raises_and_a_low_one_reassures_nobody() -> None:
    asked = concern(state="asked", topics=("feels_hot",), urgency="same_day")
    fever = found("temperature 38.6 °C", 14)

    high = rules.decide_measured(asked, MESSAGE, fever)
    assert [type(each) for each in high] == [ConfirmConcern, KeepConcern, Advise, NotifyTherapists]
    assert rules.decide_measured(asked, MESSAGE, None) == (
        DenyConcern(asked.id),
        Reply(content=Measured(), answers=MESSAGE),
    )


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("37.2", 37.2), ("it's 38,6 now", 38.6), ("101.3 F", 38.5), ("marca 39", 39.0), ("38", 38.0)],
)
def test_a_temperature_alone_is_the_answer(text: str, celsius: float) -> None:
    assert temperature_said(text) == pytest.approx(celsius, abs=0.05)


@pytest.mark.parametrize(
    "text", ["tummy 35", "35 min", "12", "38.5 or 39", "he is 38 weeks", "call 555 0100", ""]
)
def test_other_numbers_are_no_temperature(text: str) -> None:
    assert temperature_said(text) is None


@given(st.text(max_size=40))
def test_any_text_can_be_read(text: str) -> None:
    temperature_said(text)
