"""Readings given by hand, for journeys about what is done with a reading and not about how words are read."""

from __future__ import annotations

import pytest

from bot.features.routing import carer_message, edited_message, turn
from bot.replies.reader import read_reply
from bot.replies.reading import Reading, ReplyContext


def read_as(monkeypatch: pytest.MonkeyPatch, readings: dict[str, Reading]) -> None:
    """Have these texts read as given; every other text goes to the reader."""
    reader = read_reply

    def read(text: str, context: ReplyContext) -> Reading:
        return readings[text] if text in readings else reader(text, context)

    for module in (carer_message, edited_message, turn):
        monkeypatch.setattr(module, "read_reply", read)
