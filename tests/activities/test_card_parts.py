"""One part of a card, asked for by itself."""

from __future__ import annotations

from typing import Literal

import pytest

from bot.activities.card import part_card
from bot.activities.library import load_library
from bot.phrases import LANGUAGES, Language

LIBRARY = load_library()


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("part", ["hands", "side"])
def test_a_part_still_shows_every_stop_sign(part: Literal["hands", "side"], language: Language) -> None:
    for activity in LIBRARY.values():
        card = part_card(
            activity, part, language=language, nickname="Pip", affected_side="right", side="left"
        )
        stops = activity.text(language).stop_signs

        assert card.count("• ") >= len(stops) + 1
        assert "{" not in card
        assert len(card) <= 900
