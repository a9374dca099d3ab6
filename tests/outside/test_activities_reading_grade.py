"""The grade formulas against figures that were not made here."""

from __future__ import annotations

import pytest
import textstat

from tests.reading_grade import (
    as_sentences,
    crawford_grade,
    english_syllables,
    flesch_kincaid_grade,
    grade,
    spanish_syllables,
    words_in,
)

ENGLISH = (
    "The heart pumps blood to every part of the body. It beats about one hundred thousand times each day. "
    "When you run, your muscles need more oxygen, so the heart beats faster to bring it."
)
SPANISH = (
    "El corazón lleva la sangre a todo el cuerpo. Late unas cien mil veces cada día. "
    "Cuando corres, los músculos necesitan más oxígeno y el corazón late más rápido."
)


def test_the_published_worked_example_of_flesch_kincaid() -> None:
    """13 words, 1 sentence, 24 syllables are published as grade 11.3: the example sentence on the platypus in the
    encyclopaedia article on the formula, its figures from memory. The formula gives 11.26."""
    computed = flesch_kincaid_grade(words=13, sentences=1, syllables=24)

    assert round(computed, 2) == 11.26
    assert round(computed, 1) == 11.3


def test_the_english_grade_is_that_of_textstat() -> None:
    """Source: textstat 0.7.7, flesch_kincaid_grade."""
    textstat.set_lang("en_US")

    assert grade(ENGLISH, "en") == pytest.approx(textstat.flesch_kincaid_grade(ENGLISH))


def test_the_spanish_formula_is_that_of_textstat_given_the_same_counts() -> None:
    """Source: textstat 0.7.7, crawford."""
    textstat.set_lang("es")
    computed = crawford_grade(
        words=textstat.lexicon_count(SPANISH),
        sentences=textstat.sentence_count(SPANISH),
        syllables=textstat.syllable_count(SPANISH),
    )

    assert computed == pytest.approx(textstat.crawford(SPANISH))


def test_the_spanish_grade_is_never_below_that_of_textstat_which_misses_syllables() -> None:
    textstat.set_lang("es")

    assert grade(SPANISH, "es") >= textstat.crawford(SPANISH)


@pytest.mark.parametrize(
    ("word", "syllables"),
    [
        # Syllable divisions after the spelling rules of the Real Academia Española (Ortografía 2010, diphthongs and
        # hiatuses), from memory.
        ("agua", 2), ("oído", 3), ("mía", 2), ("ahora", 3), ("ciudad", 2), ("aéreo", 4), ("muy", 1), ("y", 1),
        ("huevo", 2), ("guía", 2), ("quiere", 2), ("leía", 3), ("playa", 2), ("ayuda", 3), ("construir", 2),
        ("pingüino", 3), ("toalla", 3), ("mañana", 3), ("cuáles", 2), ("aún", 2), ("baúl", 2), ("averiguáis", 4),
    ],
)  # fmt: skip
def test_spanish_syllables_are_counted_by_the_rules_of_spelling(word: str, syllables: int) -> None:
    assert spanish_syllables(word) == syllables


def test_an_english_word_that_the_dictionary_lacks_is_still_counted() -> None:
    assert english_syllables("soother") == 2
    assert english_syllables("tummy-time") == 3


HARD_ENGLISH = (
    "Prolonged immobilisation of the affected extremity may precipitate irreversible contracture formation, "
    "necessitating subsequent operative intervention."
)
HARD_SPANISH = (
    "La inmovilización prolongada de la extremidad afectada puede ocasionar contracturas irreversibles que "
    "requieran posteriormente una intervención quirúrgica complementaria."
)


@pytest.mark.parametrize(("text", "language"), [(HARD_ENGLISH, "en"), (HARD_SPANISH, "es")])
def test_a_text_for_specialists_is_far_above_grade_six(text: str, language: str) -> None:
    assert grade(text, language) > 8


@pytest.mark.parametrize(
    ("text", "language"),
    [("Hold the arm close. Bend the elbow. Wait.", "en"), ("Sostén el brazo. Dobla el codo. Espera.", "es")],
)
def test_short_plain_steps_are_below_grade_six(text: str, language: str) -> None:
    assert grade(text, language) < 6


def test_lines_headings_and_markup_become_sentences() -> None:
    assert as_sentences("<b>Set up</b>\n• Lay a towel &amp; roll it", "Ready?", "—") == (
        "Set up. Lay a towel & roll it. Ready?"
    )


def test_words_are_letters_and_digits() -> None:
    assert words_in("No 3-4 min., ¿listo? 👍") == ["No", "3-4", "min", "listo"]
