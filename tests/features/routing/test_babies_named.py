"""What a message says of each of several babies is told apart by their names, or else asked about."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.features.routing.babies_named import moved_to, only_named, parts_for


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
        ("mia 7 on her tummy and then max 4", "max 4", "mia 7 on her tummy"),
        ("did 5 with max then mia 8 on the mat", "did 5 with max", "mia 8 on the mat"),
        (
            "did tummy with max for 10, couldnt get mia to settle",
            "did tummy with max for 10",
            "couldnt get mia to settle",
        ),
        ("5 con mia, con max nada", "con max nada", "5 con mia"),
        ("max se durmió, pero mia 7 boca abajo", "max se durmió", "mia 7 boca abajo"),
        ("tummy: 6 for max, 8 for mia", "tummy: 6 for max", "8 for mia"),
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
        "5 on each side",  # sides and no babies
        "both arms 5",
        "todos los días 5",
        "did 5, max and mia, then 8",
    ],
)
def test_where_names_do_not_decide_nothing_is_told_apart(text: str) -> None:
    assert parts_for(text, ["Max", "Mia"]) is None


def test_names_are_found_whatever_their_accents_and_case() -> None:
    assert parts_for("ines 5, josé 6", ["Inés", "Jose"]) == ("ines 5", "josé 6")


@pytest.mark.parametrize(
    ("text", "of_each"),
    [
        ("both did 4", "did 4"),
        ("5 each", "5"),
        ("the twins did 6 on the tummy", "did 6 on the tummy"),
        ("both", "done"),
        ("they both slept through it", "slept through it"),
        ("neither of them slept", "wouldn't slept"),
        ("los dos hicieron 8", "hicieron 8"),
        ("5 cada uno", "5"),
        ("ninguno quiso", "no quiso"),
        ("ambas dormidas", "dormidas"),
    ],
)
def test_what_is_said_of_all_is_read_for_each(text: str, of_each: str) -> None:
    assert parts_for(text, ["Max", "Mia"]) == (of_each, of_each)


@pytest.mark.parametrize(
    ("text", "to"),
    [
        ("wrong baby", "other"),
        ("oops, other twin", "other"),
        ("that was max not mia", 0),
        ("not max, mia", 1),
        ("sorry that was for mia", 1),
        ("perdón, era para max", 0),
        ("bebé equivocada", "other"),
        ("max", None),
        ("no, mia did 7", None),
        ("that was 5", None),
        ("mia rolled over", None),
        ("that was max and mia", None),
    ],
)
def test_words_that_move_what_was_told_to_another_baby(text: str, to: int | str | None) -> None:
    assert moved_to(text, ["Max", "Mia"]) == to


@pytest.mark.parametrize(
    ("text", "said"),
    [("only max", True), ("Max", True), ("solo max", True), ("max 5", False), ("mia", False)],
)
def test_a_name_alone_says_with_whom_it_was_done(text: str, said: bool) -> None:
    assert only_named(text, "Max") is said


@given(st.text(max_size=60), st.lists(st.text(min_size=1, max_size=6), min_size=1, max_size=3))
def test_any_text_and_names_give_a_part_for_each_or_none(text: str, names: list[str]) -> None:
    parts = parts_for(text, names)

    assert parts is None or len(parts) == len(names)
