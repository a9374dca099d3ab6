"""A family's times name its place where the reader's clock shows another time, and only there."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from bot.features.formats import place_named, when_shown
from bot.phrases import words_for
from tests.features.states import family

NOON = datetime(2026, 3, 2, 16, 0, tzinfo=UTC)  # 12:00 in Halifax


@pytest.mark.parametrize(
    ("zone", "reader", "place"),
    [
        ("Europe/Madrid", "America/Halifax", "Madrid"),
        ("America/Halifax", "America/Halifax", None),
        ("Atlantic/Bermuda", "America/Halifax", None),  # another zone of the same time
        ("Europe/London", "Europe/Lisbon", None),
    ],
)
def test_a_place_is_named_where_the_clocks_differ(zone: str, reader: str, place: str | None) -> None:
    assert place_named(zone, NOON, ZoneInfo(reader), words_for("en")) == place


def test_a_moment_names_it_in_the_readers_language() -> None:
    away = family(zone=ZoneInfo("Europe/London"))

    assert when_shown(NOON, away, words_for("en"), ZoneInfo("America/Halifax")).endswith("(London)")
    assert when_shown(NOON, away, words_for("es"), ZoneInfo("America/Halifax")).endswith("(Londres)")
    assert "(" not in when_shown(NOON, away, words_for("en"))
