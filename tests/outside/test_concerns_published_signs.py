"""The signs that published advice names, in its own words, are read at least as urgently as it asks.

Sources, looked up 2026-11-25 in stored copies:
 NICE NG143, Fever in under 5s (2021), traffic light table, red and amber columns;
 NHS, "Is your baby or toddler seriously ill?" and hospital leaflets that repeat it.
The wording is shortened to the names of the signs. Urgencies are those of the project's own table, after these sources.
"""

from __future__ import annotations

import pytest

from bot.concerns.finding import URGENCIES
from tests.concerns.cases import urgency

NICE_RED = [
    "pale, mottled, ashen or blue skin, lips or tongue",
    "does not wake or if roused does not stay awake",
    "weak, high-pitched or continuous crying",
    "grunting",
    "chest indrawing",
    "non-blanching rash",
    "bulging fontanelle",
    "status epilepticus",
    "focal seizures",
    "unable to rouse",
]
NHS_999 = [
    "has a fit or convulsion",
    "is unresponsive",
    "vomits green fluid",
    "has glazed eyes and does not focus on anything",
    "has a rash that does not fade when you press it",
    "cannot be woken",
    "stops breathing or goes blue",
    "floppy",
    "sucking in under the ribcage",
    "a throaty noise while breathing",
    "rapid breathing or panting",
    "turning blue, very pale, mottled or ashen",
    "unconscious",
    "bile-stained vomiting",
]
AMBER = [
    "pallor reported by parent: looks pale",
    "poor feeding",
    "reduced urine output: fewer wet nappies",
    "swelling of a limb or joint",
    "dry nappies",
    "persistent vomiting, keeps vomiting",
    "a temperature of 39 or more",
    "blood in stools",
    "crying constantly and you cannot console them",
]


@pytest.mark.parametrize("sign", NICE_RED + NHS_999)
def test_red_signs_are_act_now(sign: str) -> None:
    assert urgency(f"she {sign}", age_weeks=18) == "act_now"


@pytest.mark.parametrize("sign", AMBER)
def test_amber_signs_are_at_least_same_day(sign: str) -> None:
    found = urgency(f"she {sign}", age_weeks=18)
    assert found is not None
    assert URGENCIES.index(found) <= URGENCIES.index("same_day")


@pytest.mark.parametrize(
    ("temperature", "age_weeks", "expected"),
    [("38.0", 12, "act_now"), ("38 C", 4, "act_now"), ("39.0", 20, "same_day"), ("100.4 F", 8, "act_now")],
)
def test_published_fever_thresholds(temperature: str, age_weeks: int, expected: str) -> None:
    assert urgency(f"temperature {temperature}", age_weeks=age_weeks) == expected
