"""The phrase files agree with each other, with the code that asks for them, and with the reader's years of school."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import pytest
from babel import Locale

from bot.phrases import LANGUAGES, Language, Phrase, UnknownPhrase, catalogue, words_for
from tests.phrases.phrase_calls import READS_ONLY, calls_under, phrase_calls
from tests.reading_grade import as_sentences, grade, words_in

ROOT = Path(__file__).parents[2]
TOPICS = {key.partition(".")[0] for language in LANGUAGES for key in catalogue(language)}
CALLS = calls_under(ROOT, ("bot", "demo"), TOPICS)

# Stand-ins for fields, so that a phrase reads as it will be sent. Numbers and names count as one easy word.
PLAUSIBLE: dict[Language, dict[str, str]] = {
    "en": {
        "activity": "tummy time", "side": "left", "weak_side": "left", "strong_side": "right", "nickname": "Pip",
        "moment": "the bath", "day": "Monday", "weekday": "Monday",
    },
    "es": {
        "activity": "el baño", "side": "izquierdo", "weak_side": "izquierdo", "strong_side": "derecho",
        "nickname": "Pip", "moment": "el baño", "day": "lunes", "weekday": "lunes",
    },
}  # fmt: skip
ANY_FIELD = "10"
MOST_SCHOOL = 6
# Under this many words one long word alone decides: such phrases are judged together, a file at a time.
FEW_WORDS = 5


def forms_of(phrase: Phrase) -> list[str]:
    return [phrase] if isinstance(phrase, str) else list(phrase.values())


def fields_of(phrase: Phrase) -> frozenset[str]:
    """Return the fields that a caller must give: those of any form, and n, which chooses the form."""
    named = {name for form in forms_of(phrase) for name in re.findall(r"\{(\w+)\}", form)}
    return frozenset(named if isinstance(phrase, str) else named | {"n"})


def as_sent(form: str, language: Language) -> str:
    return as_sentences(
        re.sub(r"\{(\w+)\}", lambda field: PLAUSIBLE[language].get(field[1], ANY_FIELD), form)
    )


def test_there_are_phrases_and_code_that_asks_for_them() -> None:
    assert TOPICS
    assert CALLS


def test_the_room_whose_dotted_names_are_passed_over_asks_for_no_phrase() -> None:
    sources = [path.read_text(encoding="utf-8") for path in (ROOT / READS_ONLY).rglob("*.py")]

    assert sources
    assert not any("bot.phrases" in source for source in sources)


def test_both_languages_hold_the_same_keys() -> None:
    assert catalogue("en").keys() == catalogue("es").keys()


@pytest.mark.parametrize("key", sorted(catalogue("en")))
def test_a_phrase_has_the_same_fields_and_shape_in_both_languages(key: str) -> None:
    english, spanish = catalogue("en")[key], catalogue("es")[key]

    assert fields_of(english) == fields_of(spanish)
    assert isinstance(english, str) == isinstance(spanish, str)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_field_is_a_plain_name_and_no_brace_is_left_open(language: Language) -> None:
    odd = [
        key
        for key, phrase in catalogue(language).items()
        for form in forms_of(phrase)
        if set("{}") & set(re.sub(r"\{[a-z][a-z_0-9]*\}", "", form))
    ]

    assert odd == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_plural_tables_are_complete_and_hold_only_forms_of_the_language(language: Language) -> None:
    """The form for millions ("many" in Spanish) may be left out: "other" is used in its place."""
    used = Locale.parse(language).plural_form.tags | {"other"}
    wrong = {
        key: sorted(phrase)
        for key, phrase in catalogue(language).items()
        if not isinstance(phrase, str) and not (used - {"many"} <= phrase.keys() <= used)
    }

    assert wrong == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_only_bold_and_italic_markup_is_used_and_it_is_closed(language: Language) -> None:
    wrong = [
        key
        for key, phrase in catalogue(language).items()
        for form in forms_of(phrase)
        if re.search(r"[<>]", re.sub(r"<(b|i)>[^<>]*</\1>", "", form))
    ]

    assert wrong == []


def test_every_phrase_that_the_code_asks_for_exists() -> None:
    known = catalogue("en")
    missing = [
        f"{call.place}: {call.key}"
        for call in CALLS
        if not (call.key in known if call.whole else any(key.startswith(call.key) for key in known))
    ]

    assert missing == []


def test_every_call_gives_exactly_the_fields_of_its_phrase() -> None:
    known = catalogue("en")
    wrong = [
        f"{call.place}: {call.key} has {sorted(fields_of(known[call.key]))}, given {sorted(call.fields)}"
        for call in CALLS
        if call.fields is not None and call.key in known and call.fields != fields_of(known[call.key])
    ]

    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_phrase_reads_at_grade_six_or_lower(language: Language) -> None:
    too_hard = {
        f"{key}: {as_sent(form, language)}": round(grade(as_sent(form, language), language), 1)
        for key, phrase in catalogue(language).items()
        for form in forms_of(phrase)
        if len(words_in(as_sent(form, language))) >= FEW_WORDS
        and grade(as_sent(form, language), language) > MOST_SCHOOL
    }

    assert too_hard == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_short_phrases_of_a_file_read_at_grade_six_or_lower_together(language: Language) -> None:
    short: dict[str, list[str]] = defaultdict(list)
    for key, phrase in catalogue(language).items():
        for form in forms_of(phrase):
            if len(words_in(as_sent(form, language))) < FEW_WORDS:
                short[key.partition(".")[0]].append(as_sent(form, language))
    together = {topic: " ".join(phrases) for topic, phrases in short.items()}
    too_hard = {
        topic: round(grade(text, language), 1)
        for topic, text in together.items()
        if words_in(text) and grade(text, language) > MOST_SCHOOL
    }

    assert too_hard == {}


MODULE = """
from bot.phrases import Words, words_for
from bot.phrases import Language
from bot.parsing.word_lists import either

def one(say: Words, extra: dict) -> str:
    mine = words_for("en")
    return (
        say("card.title", activity="a", nickname="b") + mine.plain("card.steps") + words_for("es")("card.stop")
        + say(f"card.side_{extra}") + say("card.gone", **extra) + other("card.hands", extra) + other("no.topic")
        + either("card.of_a_reader")
        + open("card.json") + say(extra) + say("card.stop" if extra else "card.steps", n=1)
    )
"""


def test_phrase_calls_are_found_with_their_keys_and_fields() -> None:
    found = {(call.key, call.whole, call.fields) for call in phrase_calls(MODULE, "one.py", {"card"})}

    assert found == {
        ("card.title", True, frozenset({"activity", "nickname"})),
        ("card.steps", True, frozenset()),
        ("card.stop", True, frozenset()),
        ("card.side_", False, None),
        ("card.gone", True, None),
        ("card.hands", True, None),
        ("card.stop", True, frozenset({"n"})),
        ("card.steps", True, frozenset({"n"})),
    }


def test_an_unknown_phrase_is_named_with_its_language() -> None:
    with pytest.raises(UnknownPhrase, match=r"bot/phrases/es holds no phrase 'card\.nothing'"):
        words_for("es")("card.nothing")


def test_values_are_escaped_in_messages_and_left_as_they_are_in_plain_text() -> None:
    words = words_for("en")

    assert words("card.title", activity="a", nickname="<b>") == "<b>a</b> · &lt;b&gt;"
    assert words.plain("card.title", activity="a", nickname="<b>") == "<b>a</b> · <b>"
