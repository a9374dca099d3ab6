"""What a therapist asks for in words: the wish, and the words that must still be a name or a time."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.therapist_line import TherapistLine, read_therapist_line
from bot.text import fold


@pytest.mark.parametrize(
    ("text", "wish", "left"),
    [
        ("Pip", None, "Pip"),
        ("how is Pip doing?", None, "Pip"),
        ("¿cómo va Ñaña?", None, "Ñaña"),
        ("any news from Bo?", None, "Bo"),
        ("Pip's plan", "plan", "Pip"),
        ("please open the plan for Pip", "plan", "Pip"),
        ("ver el plan de Pip", "plan", "Pip"),
        ("see all", "families", ""),
        ("mis familias", "families", ""),
        ("Pip summary yesterday", "digest", "Pip yesterday"),
        ("new family Luna, born 3 January 2026", "new_family", "Luna, born 3 January 2026"),
        ("nueva familia Ñandú", "new_family", "Ñandú"),
        ("help", "help", ""),
        ("thanks!", None, ""),
        ("she should rest today", None, "she should rest today"),
    ],
)
def test_a_wish_and_what_is_left(text: str, wish: str | None, left: str) -> None:
    assert read_therapist_line(text) == TherapistLine(wish, left)  # type: ignore[arg-type]


def test_a_long_message_is_no_wish() -> None:
    assert read_therapist_line("plan " * 13) is None


@given(st.text(max_size=60))
def test_what_is_left_stood_in_the_text(text: str) -> None:
    line = read_therapist_line(text)
    assert line is None or all(word in fold(text) for word in fold(line.left).split())
