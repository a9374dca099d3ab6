"""What a message says of each of several babies is told apart by their names, or else asked about."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.features.routing.babies_named import parts_for


@pytest.mark.parametrize(
    ("text", "of_max", "of_mia"),
    [
        ("max did 5 mia wasnt having it", "max did 5 ", "mia wasnt having it"),
        ("tummy: Max 6, Mia 8", "tummy: Max 6", "tummy: Mia 8"),
        ("Mia 8 min, MAX asleep", "MAX asleep", "Mia 8 min"),
        ("6 for max, 8 for mia", "6 for max", ", 8 for mia"),
        ("max and mia both did 5", "max and mia both did 5", "max and mia both did 5"),
        ("Max y Mia 10 minutos", "Max y Mia 10 minutos", "Max y Mia 10 minutos"),
        ("Max's tummy time 4, Mia's 7", "Max's tummy time 4", "Mia's 7"),
    ],
)
def test_names_decide_which_part_is_about_whom(text: str, of_max: str, of_mia: str) -> None:
    parts = parts_for(text, ["Max", "Mia"])

    assert parts is not None
    assert [part.strip(" ,") for part in parts] == [of_max.strip(" ,"), of_mia.strip(" ,")]


@pytest.mark.parametrize(
    "text",
    [
        "10 min",  # nobody named
        "max 10 min",  # one of two
        "max 5, mia 6, then max again 3",  # one of them twice
        "did 5 with max then mia 8 on the mat",  # a figure before the first name, more after the last
        "did 5, max and mia, then 8",
    ],
)
def test_where_names_do_not_decide_nothing_is_told_apart(text: str) -> None:
    assert parts_for(text, ["Max", "Mia"]) is None


def test_names_are_found_whatever_their_accents_and_case() -> None:
    assert parts_for("ines 5, josé 6", ["Inés", "Jose"]) == ("ines 5", "josé 6")


@given(st.text(max_size=60), st.lists(st.text(min_size=1, max_size=6), min_size=1, max_size=3))
def test_any_text_and_names_give_a_part_for_each_or_none(text: str, names: list[str]) -> None:
    parts = parts_for(text, names)

    assert parts is None or len(parts) == len(names)
