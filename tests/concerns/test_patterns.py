"""The language of wordings, and the words it is matched against."""

from __future__ import annotations

import pytest

from bot.concerns.patterns import compile_pattern, entries
from bot.concerns.text import split
from bot.concerns.vocabulary import Vocabulary
from bot.wordings.notation import WordingError, take_in_sets

SETS = take_in_sets(
    {
        "part": ["lips", "soft_spot"],
        "thing": ["blanket", "toy"],
        "clause_start": ["but"],
        "clause_end": ["but"],
    }
)


def matches(source: str, text: str, misspelt: tuple[str, ...] = ()) -> bool:
    vocabulary = Vocabulary(misspelt=misspelt, ordinary=frozenset({"breeding"}))
    for word in (*entries(source, SETS), "soft", "spot", "lips", "blanket", "toy", "but", *misspelt):
        vocabulary.add(word)
    pattern = compile_pattern(source, SETS, vocabulary)
    return bool(pattern.regex.search(vocabulary.encode(split(text).text)))


@pytest.mark.parametrize(
    ("source", "text", "expected"),
    [
        ("lips ..2 blue", "her lips are a blue", True),
        ("lips ..2 blue", "her lips are not even blue", False),
        ("lips ..2 blue", "her lips. so blue", False),
        ("lips ..2 blue", "her lips, blue", True),
        ("@part ..3 swollen", "the soft spot is swollen", True),
        ("vomit*", "vomiting", True),
        ("vomit*", "vomitted", True),
        ("blue !@thing", "blue blanket", False),
        ("blue !@thing", "blue lips", True),
        ("<!not blue", "not blue", False),
        ("<!not blue", "so blue", True),
        ("^ blue $", "blue!", True),
        ("^ blue $", "very blue", False),
        ("^ blue $", "but blue", True),
        ("@number times", "3 times", True),
        ("not? breathing", "breathing", True),
        ("breathing", "BREATHING", True),
        ("respiracion", "respiración", True),
        ("blue", "bluuuue", True),
        ("wont wake", "won’t wake", True),
        ("blue toy|$", "blue", True),
        ("blue toy|$", "blue, blanket", True),
        ("blue toy|$", "blue toy", True),
        ("blue toy|$", "blue blanket", False),
        ("^|so blue", "blue", True),
        ("^|so blue", "very blue", False),
    ],
)
def test_wordings_match_what_they_say(source: str, text: str, expected: bool) -> None:
    assert matches(source, text) is expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("breatheing", True),
        ("brething", True),
        ("braething", True),
        ("breeding", False),
        ("reading", False),
        ("br", False),
    ],
)
def test_long_sign_words_are_known_through_a_slip_of_spelling(text: str, expected: bool) -> None:
    assert matches("breathing", text, misspelt=("breathing",)) is expected


@pytest.mark.parametrize(
    ("word", "text", "expected"),
    [
        ("corta", "cortita", True),
        ("pecho", "pechito", True),
        ("boca", "boquita", True),
        ("moreton", "moretoncitos", True),
        ("fiebre", "fiebrecita", True),
        ("rapido", "rapidísimo", True),
        ("tongue", "tongue's", True),
        ("nostril", "nostrils", True),
        ("gras", "grass", False),
        ("vomo", "vomito", False),
    ],
)
def test_small_and_strong_forms_of_a_word_are_known(word: str, text: str, expected: bool) -> None:
    known = (word, "vomito", "grass") if text in {"vomito", "grass"} else (word,)
    vocabulary = Vocabulary()
    for entry in known:
        vocabulary.add(entry)
    assert (vocabulary.encode(split(text).text) == vocabulary.words[word]) is expected


@pytest.mark.parametrize("source", ["@nowhere blue", "a||b", "..3", "? ?"])
def test_a_wording_that_cannot_be_read_is_an_error(source: str) -> None:
    with pytest.raises(WordingError):
        matches(source, "")


def test_words_keep_their_place_in_the_text() -> None:
    text = "Está MORADO… 38,4º 😢 ok"
    words = split(text)
    assert [text[a:b] for a, b in zip(words.start, words.end, strict=True)] == [
        "Está",
        "MORADO",
        "…",
        "38,4",
        "º",
        "😢",
        "ok",
    ]
    assert words.text == ("esta", "morado", ",", "38.4", "degrees", ",", "ok")
