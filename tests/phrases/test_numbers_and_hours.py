"""Numbers, dates and hours as each language writes them, and words that agree with them (bot/phrases/README.md)."""

from __future__ import annotations

import re
from datetime import date, time

import pytest

from bot.features.formats import date_shown, day_shown, short_day_shown, time_shown
from bot.phrases import LANGUAGES, Language, catalogue, words_for
from tests.phrases.test_labels_and_words import forms

COUNTED: dict[Language, str] = {
    "en": "times|days|reminders|messages|activities|hours|weeks|families|concerns|questions|people|naps",
    "es": "veces|días|avisos|mensajes|actividades|horas|semanas|familias|preocupaciones|preguntas|personas|siestas",
}
# Fields that are never one, and why.
NEVER_ONE = {
    **dict.fromkeys(
        (
            "digest.suggest_silence",
            "digest.suggest_below_floor",
            "digest.suggest_short",
            "digest.suggest_over",
        ),
        "days: suggested from LEAST_DAYS (3) on",
    ),
    **dict.fromkeys(
        ("digest.suggest_asleep", "digest.suggest_no_time", "digest.suggest_unanswered"),
        "sent: suggested from LEAST_PROMPTS (5) on",
    ),
    "change.times": "times: once has a phrase of its own",
    "plan.times": "times: once has a phrase of its own",
    "handout.times": "times: once has a phrase of its own",
    **dict.fromkeys(
        ("learned.seen_asleep", "learned.seen_awake", "learned.seen_feed"),
        "of: one date alone changes no day",
    ),
    **dict.fromkeys(("caseload.answers_best", "clinic.note_best_hour"), "asked: told from LEAST_TOLD (5) on"),
    "plan_checks.too_young": "number: a card that waits for an age waits for eight weeks or more",
    "plan_checks.many_prompts": "number: asked about above MOST_BEARABLE_PROMPTS (8)",
    "plan_checks.long_awake": "number: asked about above MOST_AWAKE_YOUNG (10 hours)",
    "plan_checks.newborn_full": "number: asked about above NEWBORN_ACTIVITIES (3)",
    "setup.pass_on": "days: the life of a code, a week",
    "setup.pass_on_colleague": "days: as above",
    "setup.term_button": "n: weeks of a pregnancy",
    "setup.check": "gestation: weeks of a pregnancy",
    "travel.days_button": "n: the offered stays, three days and more",
}


def disagreeing_with_one(language: Language) -> set[str]:
    """Return the keys whose form for one would say "1 times"."""
    number = re.compile(rf"\{{\w+\}} (?:{COUNTED[language]})\b")
    return {
        key
        for key, phrase in catalogue(language).items()
        if number.search(phrase if isinstance(phrase, str) else phrase["one"])
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_counted_thing_has_a_form_for_one(language: Language) -> None:
    assert disagreeing_with_one(language) - NEVER_ONE.keys() == set()


def test_no_exception_is_left_over() -> None:
    assert NEVER_ONE.keys() - disagreeing_with_one("en") - disagreeing_with_one("es") == set()


@pytest.mark.parametrize(
    ("at", "said"),
    [(time(1, 30), "hasta la 1:30"), (time(13), "hasta las 13:00"), (time(10, 5), "hasta las 10:05")],
)
def test_a_spanish_hour_has_its_article(at: time, said: str) -> None:
    words = words_for("es")

    assert words.plain("hours.until", time=time_shown(at, words)) == said


def test_what_a_person_wrote_keeps_its_own_article() -> None:
    assert "a las 1:30" in words_for("es").plain("therapist.said", carer="Ana", when="lun", text="a las 1:30")


def test_no_spanish_verb_stands_before_an_hour() -> None:
    """A verb would have to agree as well, "es la 1:30" and "son las 2:30": "la hora es" does without."""
    before_an_hour = re.compile(r"\bson las \{(?!n\})", re.IGNORECASE)

    assert before_an_hour.search("Son las {time}.")
    assert [key for key, form in forms("es") if before_an_hour.search(form)] == []


@pytest.mark.parametrize(
    ("language", "shown"),
    [
        ("en", ["Tuesday 3 March", "Tue 3 Mar", "3 Mar 2026", "5:05 PM"]),
        ("es", ["martes 3 de marzo", "mar 3 mar", "3 mar 2026", "17:05"]),
    ],
)
def test_the_day_comes_before_the_month_and_each_language_has_one_clock(
    language: str, shown: list[str]
) -> None:
    words, day = words_for(language), date(2026, 3, 3)

    assert [
        day_shown(day, words), short_day_shown(day, words), date_shown(day, words), time_shown(time(17, 5), words),
    ] == shown  # fmt: skip
