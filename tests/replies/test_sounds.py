"""Spellings by ear and words without vowels stand for the word that is meant, and plain words for themselves."""

from __future__ import annotations

import pytest

from bot.replies.lexicon import lexicon
from bot.replies.sounds import by_ear
from bot.replies.spelling import mended


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("kosquillitas", "cosquillitas"),
        ("derexo", "derecho"),
        ("bolbimos", "volvimos"),
        ("kalentura", "calentura"),
        ("rchng", "reaching"),
        ("tmy", "tummy"),
        ("reachin", "reaching"),
    ],
)
def test_a_word_spelt_by_ear_is_the_word_that_is_meant(written: str, meant: str) -> None:
    assert mended(written) == meant


@pytest.mark.parametrize("word", ["cells", "books", "perro", "cerro", "halls", "wash", "hacia", "hmm"])
def test_a_plain_word_is_never_heard_as_another(word: str) -> None:
    assert mended(word) == word


def test_every_word_of_the_vocabulary_stands_for_itself_unless_its_g_was_dropped() -> None:
    changed = {word for word in lexicon().words if mended(word) != word}

    assert all(mended(word) == f"{word}g" for word in changed)


@pytest.mark.parametrize(
    ("one", "other"), [("llorar", "yorar"), ("vaca", "baka"), ("hoy", "oi"), ("gitano", "jitano")]
)
def test_words_that_sound_alike_are_heard_alike(one: str, other: str) -> None:
    assert by_ear(one) == by_ear(other)


def test_a_rolled_r_is_heard() -> None:
    assert by_ear("perro") != by_ear("pero")
