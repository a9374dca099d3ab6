"""The arm that is weak from birth: as it was, newly worse, or another limb."""

from __future__ import annotations

import pytest

from tests.concerns.cases import find, urgency


@pytest.mark.parametrize(
    ("text", "side", "expected"),
    [
        ("still doesn't lift that arm", "right", "tell_therapist"),
        ("still not moving her right arm", "right", "tell_therapist"),
        ("still not moving her right arm", "left", "same_day"),
        ("her left arm isn't moving", "left", "same_day"),
        ("still not moving her left arm", "both", "tell_therapist"),
        ("stopped moving it", "right", "same_day"),
        ("moves it less than last week", "right", "same_day"),
        ("cries when I touch it", "right", "same_day"),
        ("not moving her arm any more", "right", "same_day"),
        ("isn't moving the arm", "right", "same_day"),
        ("not moving his leg", "right", "same_day"),
        ("still can't move the good arm", "right", "same_day"),
        ("todavía no mueve el brazo derecho", "right", "tell_therapist"),
        ("todavía no mueve el brazo izquierdo", "right", "same_day"),
        ("her arm has been limp since birth", "right", "tell_therapist"),
    ],
)
def test_movement_is_weighed_against_the_side(text: str, side: str, expected: str) -> None:
    assert urgency(text, affected_side=side) == expected


def test_lost_movement_of_the_other_limb_has_a_topic_of_its_own() -> None:
    concern = find("she isn't moving her left hand", affected_side="right").concern
    assert concern is not None
    assert concern.topics[0] == "other_limb_not_moving"


@pytest.mark.parametrize(
    "text", ["her arm is white and cold", "the weak arm went blue and cold", "brazo morado y frío"]
)
def test_a_discoloured_arm_is_urgent(text: str) -> None:
    assert urgency(text) == "act_now"
