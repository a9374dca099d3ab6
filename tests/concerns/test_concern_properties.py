"""What never changes a finding, whatever the message."""

from __future__ import annotations

import unicodedata
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.concerns.finding import URGENCIES, Findings
from tests.concerns.cases import Case, find, replies

WORRIES = [case for name in URGENCIES for case in replies(name)]
ORDINARY = list(replies("nothing"))
cases = st.sampled_from(WORRIES + ORDINARY)


def rank(found: Findings) -> int:
    return URGENCIES.index(found.concern.urgency) if found.concern else len(URGENCIES)


def without_accents(text: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFD", text) if not unicodedata.combining(c))


@given(cases)
@settings(max_examples=150, deadline=None)
def test_case_and_accents_do_not_matter(case: Case) -> None:
    found = case.read()
    assert case.read(case.text.upper()).concern == found.concern
    assert case.read(without_accents(case.text)).concern == found.concern
    assert case.read(unicodedata.normalize("NFD", case.text)).concern == found.concern


@given(
    cases,
    st.sampled_from(
        [" 😢", " 🙏🙏", " ❤️", " 😂", " please", " thank you", " por favor", " gracias", " pls", "\n"]
    ),
)
@settings(max_examples=150, deadline=None)
def test_trailing_emoji_and_politeness_do_not_matter(case: Case, tail: str) -> None:
    assert rank(case.read(case.text + tail)) == rank(case.read())


@given(st.sampled_from(WORRIES), cases)
@settings(max_examples=200, deadline=None)
def test_a_concern_added_never_lowers_the_urgency(concern: Case, other: Case) -> None:
    alone = rank(concern.read())
    assert rank(concern.read(f"{other.text}. {concern.text}")) <= alone
    assert rank(concern.read(f"{concern.text}. {other.text}")) <= alone


@given(
    st.sampled_from(list(replies("act_now"))),
    st.sampled_from(["no fever", "no rash", "not blue", "sin fiebre", "no vomiting"]),
)
@settings(max_examples=120, deadline=None)
def test_a_denial_of_another_sign_takes_nothing_away(concern: Case, denial: str) -> None:
    for text in (f"{denial}. {concern.text}", f"{concern.text}. {denial}", f"{denial} but {concern.text}"):
        assert rank(concern.read(text)) == 0


@given(st.text(max_size=4096), st.integers(0, 200), st.sampled_from(["left", "right", "both"]))
@settings(max_examples=60, deadline=None)
def test_any_text_is_read_without_error(text: str, age_weeks: int, side: str) -> None:
    for span in find(text, age_weeks, side).spans:
        assert 0 <= span.start < span.end <= len(text)


@given(
    st.lists(
        st.sampled_from(
            [
                "no",
                "not",
                "blue",
                "lips",
                "fever",
                "breathing",
                ",",
                ".",
                "?",
                "arm",
                "she",
                "isn't",
                "38.4",
                "stop",
                "moving",
            ]
        ),
        max_size=300,
    )
)
@settings(max_examples=60, deadline=None)
def test_sign_words_in_any_order_are_read_without_error(words: list[str]) -> None:
    text = " ".join(words)
    spans = find(text).spans
    assert all(a.end < b.start for a, b in pairwise(spans))
    assert all(0 <= span.start < span.end <= len(text) for span in spans)
