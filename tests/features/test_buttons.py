"""The codec of buttons, and that every button that the code builds is handled."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import bot
from bot.features import verbs
from bot.features.buttons import (
    DAY,
    FAMILY,
    HIGHEST_NUMBER,
    MOST_BYTES,
    NUMBER,
    SPAN,
    TEXT,
    WORD,
    Argument,
    DataTooLong,
    Verb,
    optional,
    ref_of,
    verb,
)
from bot.features.routing import carer_buttons, therapist_routes
from bot.parsing.period import Dates

HANDLED = [*(name for name, _ in carer_buttons.BUTTONS), *therapist_routes.PRESSED]
BY_VALUE = {value.name: name for name, value in vars(verbs).items() if isinstance(value, Verb)}
SOURCE = [path for path in Path(bot.__file__).parent.rglob("*.py") if path.name != "verbs.py"]


def nodes() -> Iterator[tuple[Path, ast.AST]]:
    for path in SOURCE:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            yield path, node


def test_every_verb_is_handled_once_and_nothing_else_is() -> None:
    assert sorted(HANDLED) == sorted(verbs.VERBS)
    assert len(BY_VALUE) == len(verbs.VERBS)


def test_every_verb_is_built_by_some_button() -> None:
    built = {node.attr for _, node in nodes() if isinstance(node, ast.Attribute)}

    assert [name for name in BY_VALUE.values() if name not in built] == []


def test_no_button_is_given_data_that_the_codec_did_not_write() -> None:
    by_hand = [
        f"{path.name}:{node.lineno}"
        for path, node in nodes()
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ("Button", "_button")
        and any(isinstance(each, ast.JoinedStr | ast.Constant) for each in node.args[-1:])
    ]

    assert by_hand == []


SAMPLES = {
    NUMBER: st.integers(0, HIGHEST_NUMBER),
    WORD: st.from_regex(r"[A-Za-z0-9_.-]{1,20}", fullmatch=True),
    TEXT: st.from_regex(r"[A-Za-z0-9:áñ -]{0,20}", fullmatch=True),
    SPAN: st.dates(date(1900, 1, 1), date(2199, 12, 31)).map(lambda day: Dates(day, day)),
    DAY: st.dates(date(1900, 1, 1), date(2199, 12, 31)).map(lambda day: day.isoformat()),
    FAMILY: st.from_regex(r"[A-Za-z0-9_.-]{1,24}", fullmatch=True),
}


@given(st.data())
def test_what_is_written_is_read_again(data: st.DataObject) -> None:
    kinds: list[Argument[Any]] = data.draw(
        st.lists(st.sampled_from([NUMBER, WORD, SPAN, DAY, FAMILY]), max_size=2)
    )
    values = [data.draw(SAMPLES[kind]) for kind in kinds]
    some: Verb[*tuple[Any, ...]] = Verb("some", tuple(kinds))
    try:
        written = some.data(*values)
    except DataTooLong:
        return

    assert len(written.encode()) <= MOST_BYTES
    assert some.read(written.partition(":")[2]) == tuple(values)


@given(number=st.integers(0, HIGHEST_NUMBER), text=SAMPLES[TEXT])
def test_words_at_the_end_may_hold_colons(number: int, text: str) -> None:
    some = verb("some", NUMBER, TEXT)

    assert some.read(some.data(number, text).partition(":")[2]) == (number, text)


@given(number=st.none() | st.integers(0, 10**9))
def test_an_argument_may_be_left_out(number: int | None) -> None:
    some = verb("some", WORD, optional(NUMBER))

    assert some.read(some.data("a", number).partition(":")[2]) == ("a", number)


def test_a_long_family_id_is_named_by_a_short_mark() -> None:
    assert verbs.PLAN.data("f1") == "plan:f1"
    assert verbs.TRACE.data(Dates(date(2026, 3, 12), date(2026, 3, 19)), "a" * 12, "f" * 40).endswith(
        ref_of("f" * 40)
    )
    assert len(ref_of("f" * 40)) <= 24


def test_data_that_does_not_fit_is_refused() -> None:
    with pytest.raises(DataTooLong, match="'nf'"):
        verbs.NEW_FAMILY_ANSWER.data("zone", "z" * 80)


@given(
    st.text(max_size=64)
    | st.builds("{}:{}".format, st.sampled_from(sorted(verbs.VERBS)), st.text(max_size=40))
)
def test_no_data_raises(data: str) -> None:
    read = verbs.pressed(data)

    assert read is None or len(read[1]) == len(verbs.VERBS[read[0]].arguments)


@pytest.mark.parametrize(
    "data",
    [
        "", ":", "done", "done:", "done:²", "done:-1", "done:1:2", "pause:²", "set:5:²", "did:1:99999999999999999999", "done:99999999999999999999", "done:٣", "done:\x00",
        "awake:1", "why:5", "shape:lunch:7", "shape:back:x", "shape:ask:", "travel:go:2026-02-30:UTC",
        "travel:go:9999-12-31:UTC", "coverdays:t2:99999999", "set:2:99999999", "pause:99999",
        "pdf:zz", "rights:erase:all", "nosuch:1", "plan:a\x00b", "mat:1:q:f1",
    ],
)  # fmt: skip
def test_data_that_no_button_of_ours_has_is_not_read(data: str) -> None:
    assert verbs.pressed(data) is None


@pytest.mark.parametrize(
    ("data", "read"),
    [
        ("done:12", ("done", (12,))),
        ("shape:ask:bed", ("shape:ask", ("bed",))),
        ("shape:bed:1140", ("shape", ("bed", 1140))),
        ("zone:home:America/Argentina/Ushuaia", ("zone:home", ("America/Argentina/Ushuaia",))),
        ("rights:erase:sure", ("rights", ("erase:sure",))),
        ("fams:active:0:", ("fams", ("active", 0, ""))),
        ("fams:active:0", ("fams", ("active", 0, ""))),
        ("awake", ("awake", ())),
        ("pause:ask", ("pause", (None,))),
        ("pause:3", ("pause", (3,))),
    ],
)
def test_buttons_that_went_out_before_are_still_read(data: str, read: tuple[str, tuple[object, ...]]) -> None:
    assert verbs.pressed(data) == read


def test_no_handler_reads_a_buttons_text() -> None:
    """What a button carries is decoded in one place, so that a forged number is refused there."""
    read = [
        f"{path.name}:{node.lineno}"
        for path, node in nodes()
        if isinstance(node, ast.Attribute)
        and node.attr in ("isdigit", "isdecimal", "isnumeric")
        and "features" in path.parts
    ]

    assert read == []
