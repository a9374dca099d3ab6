"""The vocabulary files: their phrases, and that they hold what the specification names."""

from __future__ import annotations

from typing import Any

import pytest

from bot.replies.activities import TELLING
from bot.replies.lexicon import PRECEDENCE, lexicon
from bot.replies.phrases import Concept, phrases_of, phrases_of_files
from bot.replies.spelling import mended


def meaning(phrase: str) -> dict[str, Concept]:
    node = lexicon().root
    for word in phrase.split():
        node = node.next[word]
    return node.concepts


def test_a_pattern_stands_for_each_alternative_ending_and_optional_word() -> None:
    phrases = {" ".join(words) for words in phrases_of("head|neck turn(s/ing) time?", {})}

    assert phrases == {
        "head turns", "head turning", "neck turns", "neck turning",
        "head turns time", "head turning time", "neck turns time", "neck turning time",
    }  # fmt: skip


def test_an_underscore_makes_an_alternative_of_two_words() -> None:
    assert set(phrases_of("last_one|it", {})) == {("last", "one"), ("it",)}


def test_a_contraction_is_also_known_without_its_apostrophe_and_written_out() -> None:
    assert set(phrases_of("can't", {})) == {("can't",), ("cant",), ("can", "not")}


def test_a_contraction_that_would_be_another_word_keeps_its_apostrophe() -> None:
    assert set(phrases_of("i'll", {})) == {("i'll",)}


def test_the_order_of_the_files_never_decides_what_a_phrase_stands_for() -> None:
    kinds: dict[tuple[str, tuple[str, ...]], set[str]] = {}
    for language, concept, phrases in phrases_of_files():
        if concept.kind not in ("slip", "plain", "small"):  # word lists apart, no phrases
            for phrase in phrases:
                kinds.setdefault((language, phrase), set()).add(concept.kind)

    assert [
        (phrase, held)
        for phrase, held in kinds.items()
        if len(held) > 1 and len(held - PRECEDENCE.keys()) == len(held)
    ] == []


@pytest.mark.parametrize("activity", TELLING)
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_activity_has_names_in_both_languages(activity: str, language: str) -> None:
    def names(node: Any) -> int:
        concepts = node.concepts
        own = concepts.get(language) == Concept("activity", activity)
        return int(own) + sum(names(child) for child in node.next.values())

    assert names(lexicon().root) >= 5


@pytest.mark.parametrize(
    ("phrase", "language", "concept"),
    [
        ("tummy", "en", Concept("activity", "tummy_time")),
        ("boca abajo", "es", Concept("activity", "tummy_time")),
        ("over knees", "en", Concept("activity", "lap_tummy_time")),
        ("media", "es", Concept("fraction", "half")),
        ("day before yesterday", "en", Concept("day", "-2")),
    ],
)
def test_a_phrase_stands_for_its_concept(phrase: str, language: str, concept: Concept) -> None:
    assert meaning(phrase)[language] == concept


@pytest.mark.parametrize(
    ("slip", "word"),
    [("fotball", "football"), ("footballl", "football"), ("minuttes", "minutes"), ("listoooo", "listo"), ("zinco", "cinco"),
     ("dressng", "dressing"), ("yesterdya", "yesterday"), ("abajoo", "abajo")],
)  # fmt: skip
def test_a_slip_is_mended(slip: str, word: str) -> None:
    assert mended(slip) == word


@pytest.mark.parametrize("word", ["feet", "cot", "lip", "sum", "bat", "zebra", "salido", "vanity", "kitchen"])
def test_a_word_that_is_short_or_far_from_all_others_is_left_as_it_is(word: str) -> None:
    assert mended(word) == word
