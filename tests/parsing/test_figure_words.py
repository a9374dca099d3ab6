"""Which figure a therapist asks about."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.figure import FigureAsked, asks_where_from, figure_asked

NAMES = {
    "tummy_time": ["Tummy time", "Boca abajo"],
    "lap_tummy_time": ["Tummy on your lap", "Boca abajo en tus piernas"],
    "football_hold": ["Football hold", "De lado en tu brazo"],
    "side_lying": ["Side lying", "De lado"],
}


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("tummy", FigureAsked("tummy_time")),
        ("the tummy time", FigureAsked("tummy_time")),
        ("lap tummy", FigureAsked("lap_tummy_time")),
        ("football left", FigureAsked("football_hold", "left")),
        ("football on the right from grandpa", FigureAsked("football_hold", "right", "Grandpa")),
        ("boca abajo", FigureAsked("tummy_time")),
        ("de lado izquierdo", FigureAsked("side_lying", "left")),
        ("mum", FigureAsked("all", carer="Mum")),
        ("prone 2026-03-04", FigureAsked("prone", day=date(2026, 3, 4))),
        ("reminders", FigureAsked("sent")),
        ("what was seen", FigureAsked("seen")),
        ("", FigureAsked("all")),
        ("the 45 minutes", FigureAsked("all")),
    ],
)
def test_words_name_a_figure(text: str, asked: FigureAsked) -> None:
    assert figure_asked(text, NAMES, ["Mum", "Grandpa"]) == asked


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("where from tummy", "tummy"),
        ("Where from?", ""),
        ("where does the tummy come from", ""),
        ("¿De dónde sale boca abajo?", "boca abajo"),
        ("de donde salen los minutos", "los minutos"),
        ("she is from there", None),
        ("I know where it hurts", None),
    ],
)
def test_a_question_for_the_source_is_known_by_its_beginning(text: str, rest: str | None) -> None:
    assert asks_where_from(text) == rest


@given(st.text(max_size=60))
def test_any_words_at_all_name_a_figure(text: str) -> None:
    assert figure_asked(text, NAMES, ["Mum", ""]).figure in {"all", "prone", "seen", "sent", *NAMES}
