"""Signs that were once missed or read too lightly, class by class, in words of several people."""

from __future__ import annotations

import pytest

from tests.concerns.cases import find, urgency

OF_SIGN = {
    "under_water": ["her face went under in the paddling pool", "se sumió en la tinita un segundo"],
    "tires_at_feeds": ["he sweats at every feed", "falls asleep after a few sucks of the bottle", "suda cuando toma pecho"],
    "slow_feeds": ["a feed takes us more than an hour now", "cada toma dura una hora"],
    "no_weight_gain": ["hasn't gained any weight since the last visit", "la enfermera dice que no gana peso"],
    "cast_trouble": ["his cast smells and it cracked", "se le aflojó el yeso"],
    "cast_tight": ["the cast looks tight", "el yeso le aprieta"],
    "wound_open": ["the scar has come apart a bit", "la herida supura"],
    "neck_stuck": ["her neck is stuck to one side", "tiene el cuello trabado"],
    "arm_bigger": ["the wrist is bigger than the other one", "el codo se ve más grande que el otro"],
    "head_lump": ["he banged his forehead on the corner", "tiene un chichón en la cabeza"],
    "fall_from_height": ["she rolled off the couch", "se rodó de la cama"],
    "very_unwell": ["something is not right with the baby", "está muy decaída"],
    "not_well": ["the baby is not well", "anda malita"],
    "thrown_at": ["my ex pushed me into the door", "mi novio me amenazó anoche"],
    "harm_marks": ["finger marks on her arm", "tiene marcas de dedos en el bracito"],
    "milk_gone": ["I am watering down the formula", "le dimos agua de arroz en la mamila"],
}  # fmt: skip

NONE = [
    "I am so tired after the feed",
    "she gained weight, 200 grams",
    "the cast comes off on Friday",
    "no redness, the scar looks closed",
    "she ate well and slept well",
    "he threw the ball at me and laughed",
    "my neck will not turn after last night",
    "fell asleep on the couch",
    "the toy fell off the table",
    "comió muy bien",
    "se quedó dormido en la cama",
    "le doy pecho cada tres horas",
    "he takes weight on his hands now",
]


@pytest.mark.parametrize(
    ("sign", "text"), [(sign, text) for sign, texts in OF_SIGN.items() for text in texts]
)
def test_it_is_found(sign: str, text: str) -> None:
    found = find(text)
    concern = found.concern or found.unclear
    assert concern is not None and sign in concern.topics


@pytest.mark.parametrize("text", NONE)
def test_what_only_sounds_like_it_is_no_urgent_concern(text: str) -> None:
    assert urgency(text) not in ("act_now", "same_day")


@pytest.mark.parametrize(
    ("age_weeks", "text", "expected"),
    [
        (25, "he fell off the bed", "act_now"),
        (26, "he fell off the bed", "same_day"),
        (25, "he fell on the mat", "same_day"),
        (0, "se cayó de la mesa", "act_now"),
    ],
)
def test_a_fall_by_height_and_age(age_weeks: int, text: str, expected: str) -> None:
    assert urgency(text, age_weeks) == expected


@pytest.mark.parametrize("text", ["her shoulder clicks", "she turns the arm out less"])
def test_one_sign_of_the_shoulder_alone_goes_to_the_therapist(text: str) -> None:
    assert urgency(text) == "tell_therapist"


def test_a_click_with_less_turning_out_is_for_today() -> None:
    found = find("her shoulder clicks now and she turns the arm out less than before")
    assert (found.concern or found.unclear).urgency == "same_day"  # type: ignore[union-attr]
