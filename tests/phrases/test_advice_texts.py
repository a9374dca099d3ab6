"""The fixed texts: each meant for something, each with its cautions, and nothing that comforts, names or delays."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from bot.features.concerns.short_answers import SHORT_ANSWERS
from bot.phrases import LANGUAGES, Language, catalogue

CHOICE = tomllib.loads(files("bot.phrases").joinpath("advice_choice.toml").read_text(encoding="utf-8"))
NUMBERS = {"emergency_line", "crisis_line", "nurse_line"}
# Not answers of their own: questions, their buttons, what was read, and what stands before a text that must not be seen.
MEASURING = ("temperature", "measured")
ASIDE = {
    "unclear",
    "unclear_yes",
    "unclear_no",
    "discreet",
    "discreet_button",
    "no_thermometer",
    "you_wrote",
    *MEASURING,
}

DELAY = {
    "en": r"\b(can|may|could) wait\b|\bwait (and|until|till|for (a|the)) (?!reply)|keep an eye",
    "es": r"puede[sn]? esperar|\bespera (a|y|hasta)\b|vigila por ahora",
}
COMFORT = {
    "en": r"don't worry|do not worry|\bis fine\b|\bbe fine\b|\ball is well|nothing serious|it's ok|that is normal",
    "es": r"no te preocupes|está bien\b|no es grave|es normal|todo va bien",
}
DIAGNOSIS = {
    "en": r"palsy|plexus|injur|infection|seizure|depress|abuse|neglect|violen|suicid",
    "es": r"parálisis|plexo|lesi[oó]n|infecci[oó]n|convulsi|depresi|abuso|maltrat|violen|suicid|neglig",
}
REVEALING = {
    "en": r"\b(hit|shak|hurt (your|the) baby|partner|husband|he|she|abus|violen|neglect)",
    "es": r"\b(golpe|sacud|pareja|marido|él|ella|abus|violen|maltrat)",
}

each_text = pytest.mark.parametrize(
    ("name", "language"), [(name, language) for name in CHOICE for language in LANGUAGES]
)


def text(name: str, language: Language) -> str:
    found = catalogue(language)[f"advice.{name}"]
    assert isinstance(found, str)
    return found


def fields(name: str, language: Language) -> set[str]:
    return set(re.findall(r"\{(\w+)\}", text(name, language)))


def test_every_answer_says_when_it_is_meant_and_nothing_else_does() -> None:
    answers = {key.partition(".")[2] for key in catalogue("en") if key.startswith("advice.")} - ASIDE

    assert answers == set(CHOICE)
    for choice in CHOICE.values():
        assert choice.keys() == {"urgency", "meant_for", "discreet"}
        assert choice["urgency"] in ("act_now", "same_day", "tell_therapist")


@each_text
def test_an_answer_names_the_emergency_line_and_says_that_the_bot_is_no_emergency_service(
    name: str, language: Language
) -> None:
    assert {"emergency_line"} <= fields(name, language) <= NUMBERS
    assert {"en": "I am not an emergency service", "es": "No soy un servicio de emergencias"}[
        language
    ] in text(name, language)
    assert len(text(name, language)) <= 600


@each_text
@pytest.mark.parametrize("banned", [DELAY, COMFORT, DIAGNOSIS], ids=["delay", "comfort", "diagnosis"])
def test_an_answer_neither_delays_nor_comforts_nor_names_what_it_is(
    name: str, language: Language, banned: dict[str, str]
) -> None:
    assert not re.search(banned[language], text(name, language), re.IGNORECASE)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", MEASURING)
def test_what_is_said_about_a_temperature_is_as_careful_as_advice(name: str, language: Language) -> None:
    said = text(name, language)

    assert {"emergency_line", "nurse_line"} <= fields(name, language)
    assert not any(re.search(banned[language], said, re.IGNORECASE) for banned in (DELAY, COMFORT, DIAGNOSIS))


SHORT = [name for name in SHORT_ANSWERS if name != "safe_sleep"]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", SHORT)
def test_a_short_answer_neither_delays_nor_comforts_nor_names_what_it_is(
    name: str, language: Language
) -> None:
    said = str(catalogue(language)[f"short.{name}"])
    for banned in (DELAY, COMFORT, DIAGNOSIS):
        assert not re.search(banned[language], said, re.IGNORECASE), banned
    assert "{emergency_line}" in said or name in ("video", "film_again")
    assert len(said) <= 200


@pytest.mark.parametrize(
    ("banned", "line"),
    [
        (DELAY, "You can wait and see."),
        (COMFORT, "Do not worry, this is fine."),
        (DIAGNOSIS, "It may be an infection."),
        (REVEALING, "He may have hit you."),
    ],
)
def test_what_is_banned_would_be_found(banned: dict[str, str], line: str) -> None:
    assert re.search(banned["en"], line, re.IGNORECASE)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["carer_end", "carer_self_harm"])
def test_a_carer_in_danger_puts_the_baby_down_and_is_never_told_to_stay(
    name: str, language: Language
) -> None:
    said = text(name, language)

    assert {"en": "on the back in the cot", "es": "boca arriba en la cuna"}[language] in said
    assert not re.search({"en": r"stay with", "es": r"qu[eé]date"}[language], said, re.IGNORECASE)
    assert re.search(
        {"en": r"[Aa]sk someone .*to come", "es": r"[Pp]ide a alguien .*que venga"}[language], said
    )


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("key", ["advice.act_now", "advice.found_face_down", "unkept.act_now"])
def test_breathing_and_colour_mean_a_call_and_no_drive(key: str, language: Language) -> None:
    assert {"en": "Call, do not drive.", "es": "Llama, no manejes."}[language] in str(
        catalogue(language)[key]
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_others_may_see_reveals_nothing(language: Language) -> None:
    for name in ["discreet", "discreet_button", "harm_by_others", "unsafe_home"]:
        assert not re.search(REVEALING[language], text(name, language), re.IGNORECASE), name
    assert not re.search(r"baby|bebé", text("discreet", language))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(
    "key",
    [
        "edge.kept_for_therapist", "edge.words_please", "edge.not_handled", "count.rest_kept", "concern.denied",
        "concern.nobody_reached", "pause.unwell", "ask.passed_on", "ask.contact_passed", "ask.voice_passed_on",
        "ask.file_passed_on", "ask.kept_for", "advice.unclear",
    ],
)  # fmt: skip
def test_what_is_not_understood_or_kept_for_the_therapist_names_the_emergency_line(
    key: str, language: Language
) -> None:
    assert "{emergency_line}" in str(catalogue(language)[key])
