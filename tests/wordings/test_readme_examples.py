"""The page that explains the notation: every example on it holds, and every sign of it has an example."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from bot.concerns.patterns import compile_pattern, entries
from bot.concerns.text import split
from bot.concerns.vocabulary import Vocabulary
from bot.replies.phrases import phrases_of
from bot.wordings.notation import WordingError, take_in_sets

PAGE = files("bot.wordings").joinpath("README.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| (both|sign files|word files) \| `(.+)` \| (.+) \| (.+) \|$", re.MULTILINE)
EXAMPLES = [
    pytest.param(where, wording.replace(r"\|", "|"), yes, no, id=wording)
    for where, wording, yes, no in ROW.findall(PAGE)
]
WRITTEN_SETS = dict(re.findall(r"`(\w+) = ([^`]+)`", PAGE))
SETS = take_in_sets({name: words.split() for name, words in WRITTEN_SETS.items()})
CLAUSE = take_in_sets({"clause_start": ["but", "and"], "clause_end": ["but", "and"]})


def found_as_sign(wording: str, text: str) -> bool:
    sets = {**SETS, **CLAUSE}
    vocabulary = Vocabulary()
    for word in (*entries(wording, sets), *entries("@clause_start", sets)):
        vocabulary.add(word)
    return bool(compile_pattern(wording, sets, vocabulary).regex.search(vocabulary.encode(split(text).text)))


def found_as_phrase(wording: str, text: str) -> bool:
    return tuple(text.lower().split()) in set(phrases_of(wording, SETS))


@pytest.mark.parametrize(("where", "wording", "yes", "no"), EXAMPLES)
def test_an_example_finds_what_the_page_says(where: str, wording: str, yes: str, no: str) -> None:
    if where != "word files":
        assert found_as_sign(wording, yes)
        assert not found_as_sign(wording, no)
    if where != "sign files":
        assert found_as_phrase(wording, yes)
        assert not found_as_phrase(wording, no)


@pytest.mark.parametrize("wording", [case.values[1] for case in EXAMPLES if case.values[0] == "sign files"])
def test_what_only_the_sign_files_have_is_refused_in_a_word_file(wording: str) -> None:
    with pytest.raises(WordingError):
        list(phrases_of(wording, SETS))


@pytest.mark.parametrize(
    "sign", ["|", "_", "(", "/", "?", "@lips", "@number", "*", "..", "!", "<!", "^", "$"]
)
def test_every_sign_of_the_notation_has_an_example(sign: str) -> None:
    assert any(sign in str(case.values[1]) for case in EXAMPLES)
