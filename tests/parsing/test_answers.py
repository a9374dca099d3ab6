"""Short answers: yes, no, a number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.parsing.answers import (
    is_done_sign,
    number_in,
    says_more,
    says_no,
    says_no_length,
    says_off,
    says_yes,
)


@pytest.mark.parametrize(
    "text",
    ["Yes", "yes please!", "Sí, gracias", "claro que sí", "ok", "👍🏽", "Sure 😊", "of course", "Yes, yes."],
)
def test_a_yes(text: str) -> None:
    assert says_yes(text)
    assert not says_no(text)


@pytest.mark.parametrize("text", ["No", "no thanks", "¡No, gracias!", "Nope.", "please don't", "👎"])
def test_a_no(text: str) -> None:
    assert says_no(text)
    assert not says_yes(text)


@pytest.mark.parametrize(
    "text", ["", "yes but she cried", "not yes", "please", "ok no", "no 10 min", "😊", "yesterday"]
)
def test_what_says_more_or_less_is_neither(text: str) -> None:
    assert not says_yes(text)
    assert not says_no(text)


@given(st.text(max_size=30))
def test_no_text_is_both_a_yes_and_a_no(text: str) -> None:
    assert not (says_yes(text) and says_no(text))


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("8", 8),
        ("8/10", 8),
        ("8 out of 10", 8),
        ("7 de 10.", 7),
        ("eight", 8),
        ("ocho", 8),
        ("0", 0),
        ("diez!", 10),
    ],
)
def test_a_bare_number(text: str, number: int) -> None:
    assert number_in(text, 10) == number


@pytest.mark.parametrize(
    "text", ["", "11", "8 min", "8½", "eight times", "-3", "8 8", "99999999999", "8 of 20"]
)
def test_what_is_no_bare_number(text: str) -> None:
    assert number_in(text, 10) is None


@given(st.text(max_size=20), st.integers(1, 99))
def test_a_number_is_never_beyond_its_most(text: str, most: int) -> None:
    found = number_in(text, most)

    assert found is None or 0 <= found <= most


@pytest.mark.parametrize(("sign", "done"), [("👍🏿", True), ("✔️", True), ("😢", False), ("", False)])
def test_signs_that_say_done(sign: str, *, done: bool) -> None:
    assert is_done_sign(sign) is done


@pytest.mark.parametrize(
    ("text", "off"), [("off", True), ("None.", True), ("quítalo", True), ("", False), ("21-7", False)]
)
def test_taking_a_setting_away(text: str, *, off: bool) -> None:
    assert says_off(text) is off


def test_more_of_something() -> None:
    assert says_more("5 min más")
    assert not says_more("moreover 5")


@pytest.mark.parametrize(
    "text", ["my mum did it, dunno how long", "done, didn't time it", "lo hizo mi mamá, no sé cuánto tiempo"]
)
def test_a_length_that_nobody_knows_is_told_as_such(text: str) -> None:
    assert says_no_length(text)


@pytest.mark.parametrize("text", ["10 min", "dunno how long, 10 min?", "not sure", "how long should it be"])
def test_a_length_that_is_told_or_asked_for_is_none_of_that(text: str) -> None:
    assert not says_no_length(text)
