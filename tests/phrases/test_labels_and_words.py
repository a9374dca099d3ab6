"""Labels fit a button, nothing names a diagnosis, and each thing has one word (bot/phrases/README.md)."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.activities.library import load_library
from bot.phrases import LANGUAGES, Language, catalogue

ROOT = Path(__file__).parents[2]
LONGEST_LABEL = 24
# Fields that are a person's or an activity's name are cut where the button is made; a number counts two characters.
CUT = {"carer", "nickname", "activity", "therapist", "city", "scale", "day"}
# A message about a button, not a label.
SAID_OF_A_BUTTON = "edge.old_button"

DIAGNOSIS: dict[Language, str] = {
    "en": r"palsy|plexus|\berb\b|torticollis|paraly|brachial|birth injur|\bnerve|dislocat",
    "es": r"par[aá]lisis|plexo|\berb\b|tort[ií]colis|braquial|lesi[oó]n|\bnervio|luxaci[oó]n",
}
NOT_USED: dict[str, list[tuple[str, str]]] = tomllib.loads(
    (Path(__file__).parent / "words_not_used.toml").read_text(encoding="utf-8")
)


def forms(language: Language) -> Iterator[tuple[str, str]]:
    for key, phrase in catalogue(language).items():
        for form in [phrase] if isinstance(phrase, str) else phrase.values():
            yield key, form


def label_keys() -> set[str]:
    """Return the keys that the code puts on a button: those given to Button(...), and those that say so by their name."""
    named = {key for key in catalogue("en") if key.endswith("_button")} - {SAID_OF_A_BUTTON}
    given = set()
    for path in sorted((ROOT / "bot").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).split(".")[-1] in ("Button", "button"):
                given |= set(re.findall(r"plain\('([a-z_]+\.[a-z_0-9]+)'", ast.unparse(node)))
    return (named | given) & catalogue("en").keys()


def as_label(form: str) -> str:
    return re.sub(r"\{(\w+)\}", lambda field: "" if field[1] in CUT else "10", form)


def test_labels_are_found_by_name_and_by_use() -> None:
    assert {"refresh.more_button", "advice.unclear_yes"} <= label_keys()
    assert len(label_keys()) > 60


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_label_fits_a_button(language: Language) -> None:
    labels = label_keys()
    too_long = {
        key: form for key, form in forms(language) if key in labels and len(as_label(form)) > LONGEST_LABEL
    }

    assert too_long == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_text_names_a_diagnosis(language: Language) -> None:
    assert {
        key: form for key, form in forms(language) if re.search(DIAGNOSIS[language], form, re.IGNORECASE)
    } == {}


def not_used_in(text: str, language: Language) -> list[str]:
    """Return what should stand in place of each word of the text that no text uses."""
    return [
        instead
        for pattern, instead in NOT_USED[language]
        if re.search(rf"(?<!\w)(?:{pattern})(?!\w)", text, re.IGNORECASE)
    ]


def activity_texts(language: Language) -> Iterator[tuple[str, str]]:
    for name, activity in load_library().items():
        for part, value in activity.text(language):
            for line in (value,) if isinstance(value, str) else value:
                yield f"{name}.{part}", line


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_thing_has_one_word(language: Language) -> None:
    texts = [*forms(language), *activity_texts(language)]

    assert {(key, text): found for key, text in texts if (found := not_used_in(text, language))} == {}


@pytest.mark.parametrize(
    ("language", "line"),
    [
        ("en", "I can not listen."), ("en", "Wrong alarm"), ("en", "No prompts today."), ("en", "The arm is held until Monday."),
        ("es", "PARA si"), ("es", "Le aviso a Robin."), ("es", "Hasta que te avise."), ("es", "Falsa alarma"),
        ("es", "/leave para todos los mensajes"), ("es", "Llame usted hoy."), ("es", "Sigue dormida."), ("es", "3,5 de 10"),
    ],
)  # fmt: skip
def test_a_word_that_is_not_used_would_be_found(language: Language, line: str) -> None:
    assert not_used_in(line, language)


@pytest.mark.parametrize(
    ("language", "line"),
    [("en", "Hold the elbow."), ("es", "Escribe para seguir."), ("es", "El aviso es para tu bebé."), ("es", "Duerme boca arriba.")],
)  # fmt: skip
def test_a_word_of_daily_use_is_let_be(language: Language, line: str) -> None:
    assert not not_used_in(line, language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_number_of_the_nurse_line_never_stands_without_its_name(language: Language) -> None:
    name = {"en": "nurse", "es": "enfermería"}[language]

    assert [key for key, form in forms(language) if "{nurse_line}" in form and name not in form] == []
