"""Temperatures in figures and words, by age."""

from __future__ import annotations

import pytest

from bot.concerns.loading import shipped_rules
from bot.concerns.temperature import urgency_of
from bot.concerns.text import split
from tests.concerns.cases import find, urgency


def celsius(text: str) -> list[float]:
    rules = shipped_rules()
    words = split(text)
    found = rules.temperatures.readings(words, rules.vocabulary.encode(words.text))
    return [round(reading.celsius, 1) for reading in found]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("38.4", 38.4),
        ("38,4", 38.4),
        ("38'4 de fiebre", 38.4),
        ("temp 38 4", 38.4),
        ("temp 38 point 4", 38.4),
        ("temp is 101", 38.3),
        ("100.4F", 38.0),
        ("101.2 degrees", 38.4),
        ("38.5º", 38.5),
        ("39C", 39.0),
        ("fever thirty eight five", 38.5),
        ("temp thirty-nine", 39.0),
        ("temperature a hundred and one", 38.3),
        ("fever one oh two", 38.9),
        ("fiebre de treinta y ocho y medio", 38.5),
        ("39 de fiebre", 39.0),
        ("tiene 38.2", 38.2),
        ("temp 37.2", 37.2),
        ("temp 384", 38.4),
        ("temperature 1004", 38.0),
    ],
)
def test_temperatures_are_read(text: str, expected: float) -> None:
    assert celsius(text) == [expected]


@pytest.mark.parametrize(
    "text",
    [
        "38 min",
        "did 40",
        "gave 5 ml",
        "10",
        "at 10:15",
        "she is 38 weeks",
        "bath water at 38 degrees",
        "it's 39 degrees outside",
        "3 x 38",
        "weighs 38.5 kg",
        "100 kicks",
        "temp never over 38",
    ],
)
def test_other_figures_are_no_temperature(text: str) -> None:
    assert celsius(text) == []


@pytest.mark.parametrize(
    ("degrees", "age_weeks", "expected"),
    [
        (38.0, 12, "act_now"),
        (37.9, 12, None),
        (38.0, 13, "same_day"),
        (39.0, 13, "same_day"),
        (39.0, 26, "same_day"),
        (40.0, 60, "same_day"),
        (36.5, 2, None),
        (35.4, 5, "act_now"),
        (35.8, 30, "same_day"),
    ],
)
def test_urgency_follows_temperature_and_age(degrees: float, age_weeks: int, expected: str | None) -> None:
    assert urgency_of(degrees, age_weeks, shipped_rules().thresholds) == expected


@pytest.mark.parametrize(
    ("figure", "age_weeks", "expected"),
    [
        ("35,4", 8, "act_now"), ("35.5", 8, "same_day"), ("35,9", 12, "same_day"), ("36,0", 8, None),
        ("35.4", 12, "act_now"), ("35.4", 13, "same_day"), ("35.9", 60, "same_day"), ("36.0", 60, None),
        ("37,9", 8, None), ("38,0", 8, "act_now"), ("38.0", 12, "act_now"), ("38.0", 13, "same_day"),
        ("34,2", 8, "act_now"), ("32,1", 8, "act_now"), ("31,9", 8, None), ("42,9", 8, "act_now"), ("43,1", 8, None),
        ("95,7", 8, "act_now"), ("95.9", 8, "same_day"), ("96.8", 8, None), ("100,3", 8, None), ("100,4", 8, "act_now"),
        ("35", 8, None), ("36", 8, None),
    ],
)  # fmt: skip
def test_a_figure_alone_with_a_decimal_goes_by_the_table_of_ages(
    figure: str, age_weeks: int, expected: str | None
) -> None:
    assert urgency(figure, age_weeks=age_weeks) == expected
    assert urgency(f"{figure}.", age_weeks=age_weeks) == expected


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("le salió 35,4", True),
        ("35,4 y boca abajo 10", True),
        ("it said 35.9 this morning", True),
        ("it said 36.0 this morning", False),
        ("her head is 35.4", False),
        ("pesa 35,4", False),
        ("35.4 cm", False),
        ("35.4 min", False),
        ("bath at 35.4", False),
        ("page 35.4 of the leaflet", False),
        ("tummy 35 min", False),
    ],
)
def test_a_low_figure_beside_other_words_is_asked_about(text: str, asked: bool) -> None:
    found = find(text, age_weeks=8)
    assert found.concern is None
    assert (found.unclear is not None) is asked


@pytest.mark.parametrize(
    "text", ["felt hot but temp 37.1", "fever 37.2", "no fever 37.0", "she feels warm, 36.9"]
)
def test_a_normal_figure_takes_back_the_word(text: str) -> None:
    assert urgency(text, age_weeks=9) is None


@pytest.mark.parametrize("text", ["no fever, 38.2", "was 38.6 now 37.2", "fever 38"])
def test_a_high_figure_stands_whatever_the_word(text: str) -> None:
    assert urgency(text, age_weeks=9) == "act_now"


@pytest.mark.parametrize(("age_weeks", "expected"), [(7, "act_now"), (8, "same_day"), (30, "same_day")])
def test_refused_feeds_go_by_age(age_weeks: int, expected: str) -> None:
    assert urgency("she won't feed", age_weeks=age_weeks) == expected


@pytest.mark.parametrize(("age_weeks", "expected"), [(12, "act_now"), (13, "same_day"), (40, "same_day")])
def test_fever_in_a_word_goes_by_age(age_weeks: int, expected: str) -> None:
    assert urgency("she has a fever", age_weeks=age_weeks) == expected
