"""What the baby does for the first time is noticed once."""

from __future__ import annotations

import pytest

from bot.concerns.finding import Concern
from bot.features.effects import Reply
from bot.features.entries.contents import FirstTime
from bot.features.entries.first_times import milestones_in, noticed
from bot.replies.reading import Observation, Reading


@pytest.mark.parametrize(
    ("reading", "kinds"),
    [
        (Reading(observations=(Observation("roll"), Observation("roll", "left"))), ("roll",)),
        (Reading(observations=(Observation("head_turn"), Observation("grasp"))), ("grasp",)),
        (Reading(observations=(Observation("tolerated_well"),)), ()),
        (Reading(observations=(Observation("roll"),), concern=Concern("act_now", ("fall",))), ()),
        (Reading(observations=(Observation("roll"),), unclear=Concern("act_now", ("fall",))), ()),
    ],
)
def test_a_milestone_is_what_comes_once_and_never_stands_beside_a_concern(
    reading: Reading, kinds: tuple[str, ...]
) -> None:
    assert milestones_in(reading) == kinds


def test_only_what_nobody_of_the_family_has_told_is_noticed() -> None:
    assert noticed(("roll", "grasp"), ["roll"]) == (Reply(content=FirstTime(("grasp",))),)
    assert noticed(["roll"], ["roll"]) == ()
    assert noticed((), []) == ()
