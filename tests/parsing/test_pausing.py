"""For how long a carer wants to hear nothing, in words; the day is Monday 2 March 2026, nine in the morning."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.pausing import asks_to_pause, pause_said, reads_pause

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
DAY = 1440

WHOLE = {
    "pause for a week": 7 * DAY,
    "take a break for 3 days": 3 * DAY,
    "pause everything until monday": 7 * DAY,
    "quiet till tomorrow": DAY,
    "nothing till thursday please": 3 * DAY,
    "no messages for two days": 2 * DAY,
    "leave us alone until friday": 4 * DAY,
    "stop for 2 hours": 120,
    "quiet until 5pm": 8 * 60,
    "silence until the 12th": 10 * DAY,
    "off until next week": 7 * DAY,
    "quiet for today": DAY,
    "para hasta el lunes": 7 * DAY,
    "nada hasta el viernes": 4 * DAY,
    "no me avises hasta mañana": DAY,
    "descanso por dos semanas": 14 * DAY,
}


@pytest.mark.parametrize("text", WHOLE)
def test_a_pause_with_its_end_is_read(text: str) -> None:
    assert reads_pause(text, NOW) == WHOLE[text]


@pytest.mark.parametrize(
    "text",
    [
        "pause",
        "no poo for 3 days",
        "nothing for 3 days",
        "no feeds until 3",
        "not breathing for 10 seconds",
        "he was quiet for two days and will not eat",
        "we stopped for 5 min",
        "can you pause until monday?",
        "",
    ],
)
def test_what_says_something_else_is_no_pause(text: str) -> None:
    assert reads_pause(text, NOW) is None


def test_in_a_longer_message_only_the_length_is_looked_for() -> None:
    assert pause_said("mum is here, so please pause it for a week, thanks", NOW) == 7 * DAY
    assert pause_said("please pause, it is all too much", NOW) is None


@given(st.text(max_size=60))
def test_any_text_can_be_read(text: str) -> None:
    reads_pause(text, NOW)
    pause_said(text, NOW)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("how do I pause", True),
        ("can we pause this", True),
        ("¿cómo hago una pausa?", True),
        ("pause", False),
        ("please pause it", False),
    ],
)
def test_who_asks_for_a_way_to_pause_is_told_from_who_pauses(text: str, asks: bool) -> None:
    assert asks_to_pause(text) is asks
