"""The parser of wordings: what it makes of each sign, and what it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.wordings.notation import Choice, Gap, WordingError, parse, take_in_sets


def test_a_wording_is_read_place_by_place() -> None:
    sets = take_in_sets({"lips": ["lips", "mouth"]})

    assert parse("<!no @lips|tongue_tip? ..2 blu(e/ish) !toy", sets) == (
        Choice((("no",),), beside="before"),
        Choice((("lips",), ("mouth",), ("tongue", "tip")), optional=True),
        Gap(2),
        Choice((("blue",), ("bluish",))),
        Choice((("toy",),), beside="after"),
    )


@pytest.mark.parametrize(
    "source",
    ["a||b", "a|", "in tree?|the?", "never ?mind", "@nowhere", "turn(s", "turn)s", "a<!b", "_", "! b"],
)
def test_a_sign_out_of_place_is_an_error(source: str) -> None:
    with pytest.raises(WordingError):
        parse(source, {})


def test_signs_that_stand_alone_are_words_of_their_own() -> None:
    assert parse("at|@ x|*", {}) == (
        Choice((("at",), ("@",))),
        Choice((("x",), ("*",))),
    )


def test_a_set_takes_in_the_sets_that_it_names_once() -> None:
    sets = take_in_sets({"arm": ["arm", "wing"], "limb": ["@arm", "leg", "arm", "soft_spot"]})

    assert sets["limb"] == (("arm",), ("wing",), ("leg",), ("soft", "spot"))


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        ({"a": ["@b"], "b": ["@a"]}, "holds itself"),
        ({"a": ["@b"]}, "'@b', which does not exist"),
        ({"a": ["x?y"]}, "cannot read"),
    ],
)
def test_a_set_that_cannot_be_read_is_an_error(written: dict[str, list[str]], sentence: str) -> None:
    with pytest.raises(WordingError, match=sentence):
        take_in_sets(written)


@given(st.text(alphabet="ab_|?!<@*().^$ /2", max_size=12))
def test_any_text_is_read_or_refused(source: str) -> None:
    try:
        parts = parse(source, {})
    except WordingError:
        return
    assert len(parts) == len(source.split())
