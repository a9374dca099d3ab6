"""Every sign that a concern may hold has a name in both languages, for the therapist who reads it."""

from __future__ import annotations

import pytest

from bot.concerns.finding import LEARNED
from bot.concerns.loading import shipped_rules
from bot.concerns.weak_arm import AS_BEFORE
from bot.features.concerns.views import signs_shown
from bot.phrases import LANGUAGES, Language, catalogue, words_for
from tests.concerns.cases import find

NOT_IN_FILES = (LEARNED, AS_BEFORE, "too_cold")
"""What the learned reader, the weak arm of before and a measured temperature are called."""


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_sign_has_a_name_and_no_name_is_of_no_sign(language: Language) -> None:
    named = {key.removeprefix("sign.") for key in catalogue(language) if key.startswith("sign.")}
    assert named == {*shipped_rules().advice, *NOT_IN_FILES}


def test_a_low_temperature_has_a_name() -> None:
    concern = find("temperatura 35,4", age_weeks=8).concern
    assert concern is not None and signs_shown(concern.topics, words_for("es")) == "temperatura baja"


def test_a_sign_of_before_is_told_by_its_id() -> None:
    assert signs_shown(("of_before", "fall"), words_for("en")) == "of before, a fall"


def test_a_name_is_told_once() -> None:
    topics = ("breathing_described", "breathing_spoken_of", "fall")
    assert signs_shown(topics, words_for("es")) == "respiración, una caída"
