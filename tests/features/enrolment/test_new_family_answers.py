"""What a therapist may answer when a new family is set up."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.features.enrolment.family_answers import ASKED, read_answer, read_answers, zones_offered

TODAY = date(2026, 3, 4)


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("nickname", "  Ada   Bee ", "Ada Bee"),
        ("born", "3 January 2026", "2026-01-03"),
        ("born", "4 March 2026", "2026-03-04"),
        ("gestation", "38", 38),
        ("gestation", "33+4", 33),
        ("gestation", "40 weeks", 40),
        ("side", "Left", "left"),
        ("side", "los dos", "both"),
        ("side", "derecho", "right"),
        ("zone", "america/halifax", "America/Halifax"),
        ("zone", "Buenos Aires", "America/Argentina/Buenos_Aires"),
        ("zone", "madrid", "Europe/Madrid"),
        ("zone", "Bogotá", "America/Bogota"),
    ],
)
def test_answers_are_read_as_people_write_them(field: str, text: str, value: object) -> None:
    assert read_answer(field, text, TODAY) == value


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("nickname", "  "),
        ("nickname", "x" * 31),
        ("born", "5 March 2026"),
        ("born", "3 January 2016"),
        ("born", "3/1/2026"),
        ("born", "1 Jan 2026 or 2 Jan 2026"),
        ("gestation", "19"),
        ("gestation", "46"),
        ("gestation", "nine months"),
        ("gestation", "²"),
        ("side", "the weak one"),
        ("side", "left, no, right"),
        ("zone", "Atlantis"),
        ("zone", "Spain"),
        ("zone", "Madird"),
        ("zone", ""),
    ],
)
def test_what_cannot_be_right_is_not_taken(field: str, text: str) -> None:
    assert read_answer(field, text, TODAY) is None


@pytest.mark.parametrize(
    ("text", "zones"),
    [
        ("Madird", ("Europe/Madrid",)),
        ("España", ("Europe/Madrid", "Africa/Ceuta", "Atlantic/Canary")),
        ("United States", ()),
        ("Atlantis", ()),
    ],
)
def test_a_place_of_a_few_clocks_or_misspelt_is_asked_about_by_its_cities(
    text: str, zones: tuple[str, ...]
) -> None:
    assert zones_offered(text) == zones


@given(st.sampled_from(ASKED), st.text(max_size=80))
def test_any_text_is_answered_without_fault(field: str, text: str) -> None:
    assert isinstance(read_answer(field, text, TODAY), str | int | None)
    assert set(read_answers(field, text, TODAY)) <= set(ASKED)


WHOLE = {"nickname": "Luna", "born": "2026-01-03", "gestation": 39, "side": "left"}


@pytest.mark.parametrize(
    ("field", "text", "told"),
    [
        ("nickname", "Luna, born 3 January 2026 at 39 weeks, left arm", WHOLE),
        ("nickname", "Luna 2026-01-03 39w left", WHOLE),
        (
            "nickname",
            "luna; naci\u00f3 el 3 de enero de 2026; 39+2 semanas; izquierdo",
            {**WHOLE, "nickname": "luna"},
        ),
        ("nickname", "Luna", {"nickname": "Luna"}),
        ("nickname", "Luna, 3/1/2026, 39 weeks", {"nickname": "Luna", "gestation": 39}),
        ("born", "3 January 2026, 39 weeks", {"born": "2026-01-03", "gestation": 39}),
        ("gestation", "39, right", {"gestation": 39, "side": "right"}),
        ("make", "it was 38 weeks", {"gestation": 38}),
        ("make", "left, no, right", {}),
        ("make", "yes", {}),
        ("born", "left arm", {"side": "left"}),
    ],
)
def test_a_message_tells_all_that_stands_in_it(field: str, text: str, told: dict[str, object]) -> None:
    assert read_answers(field, text, TODAY) == told
