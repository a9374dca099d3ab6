"""What is taken for a printed invitation code."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.storage.repositories.invitations import ALPHABET, CODE_LENGTH, looks_like_code, normalise, printed

codes = st.text(alphabet=ALPHABET, min_size=CODE_LENGTH, max_size=CODE_LENGTH)


@given(code=codes)
def test_a_code_is_known_in_print_and_in_one_piece_in_any_case(code: str) -> None:
    assert looks_like_code(printed(code).lower())
    assert looks_like_code(code)
    assert normalise(printed(code).lower()) == code


@pytest.mark.parametrize(
    "text",
    [
        "she stays grey and hurts",
        "BABYS HEART BEATS WEAKS",
        "ABCDE-FGHJK",
        "10 min",
        "",
        "ABCDE-FGHJKMNPQR-STUVW",
    ],
)
def test_words_are_never_taken_for_a_code(text: str) -> None:
    assert not looks_like_code(text)
