"""The fixed texts: the right one for each concern, short, plain, and with the cautions."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from string import Formatter

import pytest

from bot.concerns.advice import DISCREET, ORDER, advice_for
from bot.concerns.finding import LEARNED, URGENCIES, Concern, Urgency
from bot.concerns.loading import shipped_rules
from bot.phrases import LANGUAGES, Language, words_for
from tests.concerns.cases import find
from tests.reading_grade import as_sentences, grade

TEXTS = (*ORDER, "unclear")
LINES: dict[Language, dict[str, str]] = {
    "en": {
        "emergency_line": "your local emergency number",
        "nurse_line": "the nurse line",
        "crisis_line": "the crisis line",
    },
    "es": {
        "emergency_line": "su número de urgencias",
        "nurse_line": "la línea de salud",
        "crisis_line": "la línea de crisis",
    },
}
REASSURANCE = re.compile(
    r"\b(don't worry|do not worry|is fine|will be fine|all is well|nothing serious|wait and|you can wait|no se preocupe|"
    r"todo está bien|no es grave|puede esperar|it is (a|an) \w+ (infection|seizure))\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    ("concern", "texts"),
    [
        (Concern("act_now", ("blue_or_grey",)), ("act_now",)),
        (Concern("act_now", ("harm_to_self",)), ("carer_self_harm",)),
        (Concern("act_now", ("harm_to_baby", "carer_distress")), ("carer_end",)),
        (Concern("act_now", ("harm_to_self", "harm_to_baby")), ("carer_self_harm", "carer_end")),
        (Concern("act_now", ("not_breathing", "harm_to_baby")), ("carer_end", "act_now")),
        (Concern("act_now", ("harm_to_baby", "vomiting")), ("carer_end", "same_day")),
        (Concern("act_now", ("fit", "carer_distress")), ("act_now",)),
        (Concern("act_now", ("refuses_feeds", "click")), ("act_now",)),
        (Concern("act_now", ("found_face_down", "vomiting")), ("found_face_down",)),
        (Concern("act_now", ("found_face_down", "choking", "dark_told")), ("act_now", "found_face_down")),
        (Concern("act_now", ("choking", "harm_to_baby_described")), ("carer_end", "act_now")),
        (
            Concern("act_now", ("muffled_baby", "found_face_down", "dark_told")),
            ("carer_end", "found_face_down"),
        ),
        (Concern("act_now", ("unsafe_home", "bruise")), ("unsafe_home", "same_day")),
        (Concern("same_day", ("vomiting",)), ("same_day",)),
        (Concern("same_day", ("carer_distress",)), ("carer_distress",)),
        (Concern("tell_therapist", ("click",)), ("tell_therapist",)),
        (Concern("act_now", ("too_cold",)), ("act_now",)),
        (Concern("act_now", (LEARNED,)), ("either_now",)),
        (Concern("act_now", (LEARNED, "vomiting")), ("either_now",)),
        (Concern("same_day", (LEARNED,)), ("either_today",)),
        (Concern("same_day", ("not_well", "vomiting")), ("unwell",)),
        (Concern("act_now", ("fit", "not_well")), ("act_now",)),
        (Concern("tell_therapist", ("arm_as_before",)), ("tell_therapist",)),
    ],
)
def test_the_texts_follow_the_gravest_of_what_is_there(concern: Concern, texts: tuple[str, ...]) -> None:
    assert advice_for(concern) == texts


def test_danger_by_the_carer_is_answered_before_an_illness_of_the_baby() -> None:
    concern = find("i want to die and she is not breathing").concern
    assert concern is not None
    assert advice_for(concern) == ("carer_self_harm", "act_now")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("sign", sorted(shipped_rules().advice))
def test_every_sign_comes_to_its_own_text_in_every_language(language: Language, sign: str) -> None:
    rules = shipped_rules()
    own = rules.signs.get(sign)
    together = next((rule for rule in rules.together if rule.id == sign), None)
    raised: list[Urgency] = [rule.urgency for rule in own.age] if own is not None else []
    raised += [each.urgency for each in (own, together) if each is not None and each.urgency != "hint"]
    for urgency in raised:
        (text,) = advice_for(Concern(urgency, (sign,)))
        named = rules.advice[sign]
        assert text == (urgency if named in URGENCIES else named)
        assert words_for(language).plain(f"advice.{text}", **LINES[language])


def test_what_must_not_show_is_the_same_for_signs_and_texts() -> None:
    rules = shipped_rules()
    choice = tomllib.loads(files("bot.phrases").joinpath("advice_choice.toml").read_text(encoding="utf-8"))

    assert {text for text, each in choice.items() if each["discreet"]} == DISCREET
    assert set(choice) == set(ORDER)
    for sign, text in rules.advice.items():
        assert (sign in rules.discreet) == (text in DISCREET)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", TEXTS)
def test_texts_are_short_plain_and_never_reassure(language: Language, name: str) -> None:
    text = words_for(language).plain(f"advice.{name}", **LINES[language])
    assert grade(as_sentences(text), language) <= 6
    assert len(text) <= 600
    assert not REASSURANCE.search(text)
    assert LINES[language]["emergency_line"] in text
    assert ("not an emergency service" if language == "en" else "No soy un servicio de emergencias") in text
    assert ("day and night" if language == "en" else "día y noche") in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_urgent_texts_name_the_right_line(language: Language) -> None:
    words = words_for(language)
    for name, fields in {
        "act_now": {"emergency_line"},
        "carer_end": {"emergency_line", "crisis_line"},
        "carer_self_harm": {"emergency_line", "crisis_line"},
        "same_day": {"nurse_line", "emergency_line"},
        "carer_distress": {"nurse_line", "emergency_line"},
    }.items():
        template = words.plain(
            f"advice.{name}",
            emergency_line="{emergency_line}",
            nurse_line="{nurse_line}",
            crisis_line="{crisis_line}",
        )
        assert {field for _, field, _, _ in Formatter().parse(template) if field} == fields


@pytest.mark.parametrize("language", LANGUAGES)
def test_buttons_fit_on_a_phone(language: Language) -> None:
    words = words_for(language)
    assert all(0 < len(words.plain(f"advice.unclear_{answer}")) <= 24 for answer in ("yes", "no"))
