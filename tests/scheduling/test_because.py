from __future__ import annotations

import tomllib
from importlib.resources import files
from itertools import product
from string import Formatter
from typing import Any, get_args

import pytest

from bot.phrases import LANGUAGES, words_for
from bot.phrases.because import because_in_words, proof_in_words, why_in_words
from scheduling.plan import MomentName
from scheduling.reasons import Because, Proof, Why, WhyKind

GRADE = 6


def test_the_minutes_and_the_side_that_is_due_are_said() -> None:
    because = Because(11, 40, "right", "behind", left=3, right=2)

    assert (
        because_in_words(because, words_for("en"))
        == "11 of 40 minutes before this; it is the right side's turn"
    )
    assert (
        because_in_words(because, words_for("es"))
        == "11 de 40 minutos antes de esta vez; toca el lado derecho"
    )


def test_a_goal_is_named_with_its_numbers_and_times_are_counted_as_times() -> None:
    words = words_for("en")

    assert (
        because_in_words(Because(30, 240, goal="tummy"), words) == "goal tummy: 30 of 240 minutes before this"
    )
    assert because_in_words(Because(2, 6, times=True), words) == "done 2 of 6 before this"
    assert (
        because_in_words(Because(2, 6, goal="arm", times=True), words_for("es"))
        == "meta arm: van 2 de 6 antes de esta vez"
    )


def test_a_care_moment_is_named() -> None:
    assert (
        because_in_words(Because(0, 5, moment="bath"), words_for("en"))
        == "0 of 5 minutes before this; fits bath time"
    )


def test_half_minutes_are_said_with_one_digit() -> None:
    assert because_in_words(Because(7.5, 40), words_for("en")).startswith("7.5 of 40")


def test_one_prompt_a_day_is_said_in_the_singular() -> None:
    assert why_in_words(Why("most_prompts", 1), words_for("en")) == "the one reminder for today is used"
    assert why_in_words(Why("most_prompts", 0), words_for("en")) == "no reminders are set for today"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_reason_has_words(language: str) -> None:
    words = words_for(language)
    turns: tuple[Any, ...] = ("fixed", "behind", "next")
    sides: tuple[Any, ...] = ("left", "right")
    said = {
        because_in_words(Because(1, 9, side, turn, moment=moment), words)
        for side, turn, moment in product(sides, turns, get_args(MomentName))
    }
    whys = {why_in_words(Why(kind, 3), words) for kind in get_args(WhyKind)}

    assert len(said) == 2 * 3 * len(get_args(MomentName))
    assert len(whys) == len(get_args(WhyKind))


def test_both_languages_hold_the_same_phrases_with_the_same_fields() -> None:
    def fields(language: str) -> dict[str, set[str | None]]:
        text = files("bot.phrases").joinpath(language, "because.toml").read_text(encoding="utf-8")
        phrases = {name: p if isinstance(p, str) else p["other"] for name, p in tomllib.loads(text).items()}
        return {
            name: {field for _, field, _, _ in Formatter().parse(p) if field} for name, p in phrases.items()
        }

    assert fields("en") == fields("es")


def said_in(language: str) -> str:
    """Return every reason as a sentence."""
    words = words_for(language)
    becauses = [
        Because(10, 20, "right", "behind"),
        Because(10, 20, "left", "next"),
        Because(10, 20, "left", "fixed"),
    ]
    becauses += [
        Because(2, 6, times=True),
        Because(30, 240, goal="tummy"),
        Because(2, 6, goal="arm", times=True),
    ]
    becauses += [Because(10, 20, moment=moment) for moment in get_args(MomentName)]
    sentences = [because_in_words(each, words).replace("; ", ". ") for each in becauses]
    sentences += [why_in_words(Why(kind, 6), words) for kind in get_args(WhyKind)]
    sentences += [str(proof_in_words(Proof(2, least), words)).rstrip(".") for least in (2, 1.9)]
    return " ".join(f"{sentence[0].upper()}{sentence[1:]}." for sentence in sentences)


@pytest.mark.parametrize(
    ("short", "least", "said"),
    [
        (2.0, 2.0, "No plan by these rules could miss less."),
        (2.05, 2.0, "No plan by these rules could do more than 3 % better."),
        (5.0, 2.0, None),
        (2.0, 0.0, None),
        (2.0, None, None),
        (0.0, 0.0, None),
    ],
)
def test_how_near_a_short_day_comes_to_the_best_is_said_where_it_is_proved(
    short: float, least: float | None, said: str | None
) -> None:
    assert proof_in_words(Proof(short, least), words_for("en")) == said


@pytest.mark.parametrize("language", LANGUAGES)
def test_reasons_read_at_grade_six_or_lower(language: str) -> None:
    reading_grade = pytest.importorskip("tests.reading_grade", reason="the reading formulas are not here")

    assert reading_grade.grade(said_in(language), language) <= GRADE
