"""The fixed texts: the right one for each concern, short, plain, and with the cautions."""

from __future__ import annotations

import re
from string import Formatter

import pytest
import textstat

from bot.concerns.advice import advice_key
from bot.concerns.finding import Concern
from bot.phrases import LANGUAGES, Language, words_for
from tests.concerns.cases import find

TEXTS = ("act_now", "same_day", "harm_now", "carer_distress", "tell_therapist", "unclear")
LINES: dict[Language, dict[str, str]] = {
    "en": {"emergency_line": "your local emergency number", "nurse_line": "the nurse line"},
    "es": {"emergency_line": "su número de urgencias", "nurse_line": "la línea de salud"},
}
REASSURANCE = re.compile(
    r"\b(don't worry|do not worry|is fine|will be fine|all is well|nothing serious|wait and|you can wait|no se preocupe|"
    r"todo está bien|no es grave|puede esperar|it is (a|an) \w+ (infection|seizure))\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    ("concern", "key"),
    [
        (Concern("act_now", ("blue_or_grey",)), "advice.act_now"),
        (Concern("act_now", ("harm_to_self",)), "advice.harm_now"),
        (Concern("act_now", ("harm_to_baby", "carer_distress")), "advice.harm_now"),
        (Concern("act_now", ("not_breathing", "harm_to_baby")), "advice.act_now"),
        (Concern("act_now", ("fit", "carer_distress")), "advice.act_now"),
        (Concern("same_day", ("vomiting",)), "advice.same_day"),
        (Concern("same_day", ("carer_distress",)), "advice.carer_distress"),
        (Concern("tell_therapist", ("click",)), "advice.tell_therapist"),
    ],
)
def test_the_text_follows_the_concern(concern: Concern, key: str) -> None:
    assert advice_key(concern) == key


def test_the_baby_comes_before_the_carer_among_equals() -> None:
    concern = find("i want to die and she is not breathing").concern
    assert concern is not None
    assert advice_key(concern) == "advice.act_now"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", TEXTS)
def test_texts_are_short_plain_and_never_reassure(language: Language, name: str) -> None:
    text = words_for(language).plain(f"advice.{name}", **LINES[language])
    textstat.set_lang(language)
    grade = textstat.flesch_kincaid_grade(text) if language == "en" else textstat.crawford(text)
    assert grade <= 6
    assert len(text) <= 600
    assert not REASSURANCE.search(text)
    assert LINES[language]["emergency_line"] in text
    assert ("not an emergency service" if language == "en" else "No soy un servicio de urgencias") in text
    assert ("day and night" if language == "en" else "día y noche") in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_urgent_texts_name_the_right_line(language: Language) -> None:
    words = words_for(language)
    for name, fields in {
        "act_now": {"emergency_line"},
        "harm_now": {"emergency_line"},
        "same_day": {"nurse_line", "emergency_line"},
        "carer_distress": {"nurse_line", "emergency_line"},
    }.items():
        template = words.plain(f"advice.{name}", emergency_line="{emergency_line}", nurse_line="{nurse_line}")
        assert {field for _, field, _, _ in Formatter().parse(template) if field} == fields


@pytest.mark.parametrize("language", LANGUAGES)
def test_buttons_fit_on_a_phone(language: Language) -> None:
    words = words_for(language)
    assert all(0 < len(words.plain(f"advice.unclear_{answer}")) <= 24 for answer in ("yes", "no"))
