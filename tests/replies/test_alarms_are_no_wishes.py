"""Words of an alarm that sound like a wish to be reminded later put nothing off; a wish beside an alarm does."""

from __future__ import annotations

import pytest

from tests.replies.said import read


@pytest.mark.parametrize(
    "text",
    [
        "I'm scared of what he does when he gets home",
        "he smashed the plates last night and said next time it would be me",
        "she is blue and later she was grey",
    ],
)
def test_an_alarm_puts_nothing_off(text: str) -> None:
    reading = read(text)
    assert reading.concern is not None or reading.unclear is not None
    assert reading.request is None


@pytest.mark.parametrize(
    "text", ["she has a fever, remind me in an hour", "she vomits everything. will do tummy later"]
)
def test_a_wish_in_so_many_words_is_granted_beside_an_alarm(text: str) -> None:
    reading = read(text)
    assert reading.concern is not None or reading.unclear is not None
    assert reading.request is not None and reading.request.kind == "later"
