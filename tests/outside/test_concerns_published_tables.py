"""Fever by age, cold by age and falls by height at their edges, and more rows of published lists.

Sources, named beside each table: NICE NG143 (2021), Fever in under 5s, traffic light table; NICE NG51 (2017), sepsis, and WHO,
young infants, both from memory; PECARN (Kuppermann et al. 2009, Lancet 374), from memory; NHS pages, from memory.
Left out of the lists, since no carer writes them in words that a bot could tell from others: capillary refill time,
oxygen saturation, heart and breathing rates in figures, a "social smile" that is missing. The clinic must judge these.
"""

from __future__ import annotations

import pytest

from bot.concerns.finding import URGENCIES
from tests.concerns.cases import find, urgency

FEVER = [
    # NICE NG143, red: under 3 months, 38 °C or more
    (0, 38.0, "act_now"),
    (12, 38.0, "act_now"),
    (12, 37.9, None),
    (12, 40.1, "act_now"),
    # NICE NG143, amber: 3 to 6 months, 39 °C or more; between the tiers the higher one, common practice, no source
    (13, 38.9, "same_day"),
    (13, 39.0, "same_day"),
    (26, 39.0, "same_day"),
    (27, 39.0, "same_day"),
    (13, 37.9, None),
]
COLD = [
    # WHO, young infants, from memory: under 35.5 °C; NICE NG51, from memory: under 36 °C
    (0, 35.4, "act_now"),
    (12, 35.4, "act_now"),
    (12, 35.5, "same_day"),
    (13, 35.4, "same_day"),
    (13, 35.9, "same_day"),
    (13, 36.0, None),
]
FALLS = [
    # PECARN, from memory, for what is high; under six months any raised place: common practice, no source
    (0, "she fell off the changing table", "act_now"),
    (25, "she fell off the changing table", "act_now"),
    (26, "she fell off the changing table", "same_day"),
    (25, "she rolled off the bed", "act_now"),
]
ROWS = {
    # NHS, "Is your baby or toddler seriously ill?", and NHS pages on each: from memory
    "act_now": ["her face was under the bath water", "her cast is too tight and her fingers are cold"],
    "same_day": [
        "sweats and tires when feeding",
        "has not gained weight for weeks",
        "his plaster cast is wet",
        "her stitches have opened",
        "yellow eyes and skin",
        "blood in her nappy",
        "no tears and a dry mouth",
        "her neck is stuck and will not turn",
    ],
}


@pytest.mark.parametrize(("age_weeks", "celsius", "expected"), FEVER + COLD)
def test_a_temperature_at_the_edges_of_its_row(age_weeks: int, celsius: float, expected: str | None) -> None:
    assert urgency(f"her temperature is {celsius}", age_weeks) == expected


@pytest.mark.parametrize(("age_weeks", "text", "expected"), FALLS)
def test_a_fall_at_the_edges_of_its_row(age_weeks: int, text: str, expected: str) -> None:
    assert urgency(text, age_weeks) == expected


@pytest.mark.parametrize(
    ("expected", "text"), [(expected, text) for expected, texts in ROWS.items() for text in texts]
)
def test_a_published_row_is_raised_or_asked_about(expected: str, text: str) -> None:
    found = find(text, 18)
    concern = found.concern or found.unclear
    assert concern is not None
    assert URGENCIES.index(concern.urgency) <= URGENCIES.index(expected)
