"""Whom a family calls: its own numbers, the clinic's, and on a trip no number that may be wrong there."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.activities.library import load_library
from bot.domain.people import Clinic, Family, Numbers
from bot.features.context import Context
from bot.storage.unit_of_work import UnitOfWork
from tests.features.states import family

FAMILY = family()
ZONE = ZoneInfo("America/Halifax")
CLINICS = Numbers("911", "555 0100", "988")


def numbers(family: Family | None, language: str = "en", *, crisis_line: str = "988") -> Numbers:
    clinic = Clinic("Harbour", ZONE, "911", "555 0100", crisis_line, 6, time(18))
    context = Context(
        UnitOfWork.__new__(UnitOfWork), datetime(2026, 3, 2, tzinfo=UTC), clinic, load_library()
    )
    return context.numbers(family, language)


def test_a_family_calls_the_clinics_numbers_where_it_has_none_of_its_own() -> None:
    assert numbers(None) == numbers(FAMILY) == CLINICS


@pytest.mark.parametrize(
    ("own", "expected"),
    [
        ({"emergency_line": "112"}, Numbers("112", "555 0100", "112")),
        ({"nurse_line": "116 117"}, Numbers("911", "116 117", "988")),
        ({"crisis_line": "024"}, Numbers("911", "555 0100", "024")),
        ({"emergency_line": "112", "crisis_line": "024"}, Numbers("112", "555 0100", "024")),
    ],
)
def test_its_own_number_goes_before_the_clinics(own: dict[str, Any], expected: Numbers) -> None:
    assert numbers(replace(FAMILY, **own)) == expected


@pytest.mark.parametrize("language", ["en", "es"])
def test_away_no_number_of_home_is_named_for_an_emergency(language: str) -> None:
    away = replace(FAMILY, home_zone="America/Halifax", emergency_line="911", crisis_line="988")
    found = numbers(away, language)
    assert not any(character.isdigit() for character in found.emergency_line + found.crisis_line)
    assert found.nurse_line == "555 0100"


@pytest.mark.parametrize(
    ("told", "home"),
    [
        ("we're in Lisbon since yesterday and she has 38.6", False),
        ("estamos en México desde ayer y tiene 38.6", False),
        ("we are abroad and his lips went blue", False),
        ("estamos de viaje y no come", False),
        ("we are in Halifax, she has 38.6", True),
        ("she is in bed and has 38.6", True),
        ("lo tengo en brazos y no come", True),
    ],
)
def test_what_a_carer_tells_from_elsewhere_is_answered_by_no_emergency_number_of_home(
    told: str, home: bool
) -> None:
    clinic = Clinic("Harbour", ZONE, "911", "555 0100", "988", 6, time(18))
    context = Context(
        UnitOfWork.__new__(UnitOfWork), datetime(2026, 3, 2, tzinfo=UTC), clinic, load_library()
    )

    found = context.numbers(FAMILY, "en", told)

    assert (found == CLINICS) == home
    assert any(character.isdigit() for character in found.emergency_line) == home
