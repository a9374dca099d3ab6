"""Short corrections in carers' words, and what is none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.mends import Mend, read_mend

MENDS = {
    "wrong side, did left": Mend(side="left"),
    "wrong side": Mend(side="other"),
    "no, left side": Mend(side="left"),
    "that was the right side": Mend(side="right"),
    "right, not left": Mend(side="right"),
    "left not right": Mend(side="left"),
    "it was the other side": Mend(side="other"),
    "oh wait that was 8": Mend(minutes=8),
    "well more like 12": Mend(minutes=12),
    "make it 15 min": Mend(minutes=15),
    "it was twelve minutes actually": Mend(minutes=12),
    "sorry it was yesterday not today": Mend(days=-1),
    "was 10, well 12 with the break": Mend(minutes=12),
    "i said 10 but it was more like 7": Mend(minutes=7),
    "hang on, more like 6": Mend(minutes=6),
    "it was 10, no, 12": Mend(minutes=12),
    "sorry was 8 not 10": Mend(minutes=8),
    "fueron 10, bueno 12 con la pausa": Mend(minutes=12),
    "eran 8, no 5": Mend(minutes=8),
    "no, mejor 12": Mend(minutes=12),
    "perdón, era el izquierdo": Mend(side="left"),
    "lado equivocado": Mend(side="other"),
    "no, fueron 8 minutos": Mend(minutes=8),
    "fue ayer, no hoy": Mend(days=-1),
    "put that down for yesterday instead": Mend(days=-1),
    "count it for yesterday please": Mend(days=-1),
    "ponlo en ayer": Mend(days=-1),
    "no, the right": Mend(side="right"),
    "and on the left": Mend(side="left", added=True),
    "left side": Mend(side="left", added=True),
    "the right one": Mend(side="right", added=True),
    "a la izquierda": Mend(side="left", added=True),
    "y con la derecha": Mend(side="right", added=True),
}


@pytest.mark.parametrize("text", MENDS)
def test_a_short_correction_is_understood(text: str) -> None:
    assert read_mend(text) == MENDS[text]


@pytest.mark.parametrize(
    "text",
    [
        "12 min",
        "right",
        "that's right",
        "all right",
        "left the house",
        "on the left she cried",
        "done",
        "no",
        "not today",
        "that was great",
        "that was 8 hours of crying",
        "that was 2 or 3",
        "it was 5 and 6",
        "was 5 then 6",
        "it was 10 no 12",
        "it was 12 left",
        "was it 8?",
        "he was on the right side and cried",
        "no 8 wet nappies",
        "it was 500",
        "",
    ],
)
def test_anything_else_is_no_correction(text: str) -> None:
    assert read_mend(text) is None


@given(st.text(max_size=60))
def test_any_text_can_be_read(text: str) -> None:
    read_mend(text)
