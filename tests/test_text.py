"""How text is folded before it is compared with a word list."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.text import fold, fold_with_offsets, plain_text


@pytest.mark.parametrize(
    ("written", "folded"),
    [
        ("LISTO", "listo"),
        ("Mañana", "manana"),
        ("respiración", "respiracion"),
        ("won’t", "won't"),
        ("won`t", "won't"),
        ("38º", "38°"),
        ("½", "1⁄2"),
        ("１０ min", "10 min"),
        ("Straße", "strasse"),
        ("tum\u00admy", "tummy"),
    ],
)
def test_text_is_folded_to_bare_small_letters(written: str, folded: str) -> None:
    assert fold(written) == folded


@given(st.text(max_size=80))
def test_folding_with_offsets_gives_the_same_text_and_rising_offsets(text: str) -> None:
    folded, came_from = fold_with_offsets(text)

    assert folded == fold(text)
    if came_from is None:
        assert len(folded) == len(text)
    else:
        assert len(came_from) == len(folded)
        assert came_from == sorted(came_from)
        assert all(0 <= offset < len(text) for offset in came_from)


@given(st.text(alphabet="aáeéiíoóuúüñ bcd", max_size=40))
def test_an_accent_typed_as_a_mark_of_its_own_folds_alike(text: str) -> None:
    assert fold(unicodedata.normalize("NFD", text)) == fold(text)


def test_plain_text_has_one_character_a_letter() -> None:
    assert plain_text("man\u0303ana") == "mañana"
