"""Labels fit a button, nothing names a diagnosis, and each thing has one word (bot/phrases/README.md)."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

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
RETIRED: dict[Language, str] = {
    "en": r"\bcan not\b|\bworr(y|ies|ied)\b|\balarms?\b|\bclips?\b|\banew\b|\btill\b|\bno word\b|told of none|taken badly"
    r"|\bcrib\b|emergency room|\bno emergency service",
    "es": r"\balarmas?\b|\brecordatorios?\b|\bavis(ar|é|ó|o a)\b|\bdudas? \(|sin noticias|\bnevera\b|a lo más|\bhall[aoóé]"
    r"|\b(el|la) terapeuta\b|^para si\b|línea de (salud|la clínica)|falsa alarma",
}


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


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_thing_has_one_word(language: Language) -> None:
    assert {
        key: form for key, form in forms(language) if re.search(RETIRED[language], form, re.IGNORECASE)
    } == {}


@pytest.mark.parametrize(
    ("language", "line"),
    [("en", "I can not listen."), ("en", "Wrong alarm"), ("es", "PARA si"), ("es", "Le aviso a Robin."), ("es", "Falsa alarma")],
)  # fmt: skip
def test_a_retired_word_would_be_found(language: Language, line: str) -> None:
    assert re.search(RETIRED[language], line, re.IGNORECASE)
