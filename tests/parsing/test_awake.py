"""Which words end a sleep."""

from __future__ import annotations

import pytest

from bot.parsing.answers import says_awake


@pytest.mark.parametrize(
    "text",
    [
        "awake",
        "she's up now",
        "He woke up!",
        "up",
        "awake again",
        "ya despertó",
        "ya está despierta",
        "se desperto",
    ],
)
def test_a_baby_that_is_awake_now(text: str) -> None:
    assert says_awake(text)


@pytest.mark.parametrize(
    "text",
    [
        "not awake yet",
        "she isn't up yet",
        "will tell you when she is up",
        "was awake all night",
        "todavía no despierta",
        "cuando despierte te aviso",
        "10 min",
        "cheer up",
        "she woke up and fed and then we tried the hold on my arm again",
    ],
)
def test_anything_else(text: str) -> None:
    assert not says_awake(text)
