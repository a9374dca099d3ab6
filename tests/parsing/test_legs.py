"""A way there and back, which is minutes of nothing that the plan names."""

from __future__ import annotations

import pytest

from bot.parsing.legs import there_and_back


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("20 there 20 back", 40),
        ("we walked 15 to the park and 10 back", 25),
        ("10 min out, 12 min home", 22),
        ("15 de ida y 20 de vuelta", 35),
        ("20 on the tummy then back to bed", None),
        ("5 back 5 front", None),
        ("20 there", None),
        ("10 left 10 right", None),
    ],
)
def test_both_ways_are_told_together_and_nothing_else_is_a_way(text: str, minutes: int | None) -> None:
    assert there_and_back(text) == minutes
