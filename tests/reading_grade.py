"""How many years of school a text asks for.

English: Flesch-Kincaid grade level, Kincaid et al. 1975 (Navy Research Branch Report 8-75); counts by textstat.

Spanish: Flesch-Kincaid is fitted to English, whose words are shorter, so it calls any Spanish text hard. The
published Spanish formula that answers in school years is Crawford's (Crawford 1989, Lectura y Vida 10(4)), fitted
to primary readers of the Americas and Spain, and said to hold up to grade 6 (bounds and constants: the formula's
page named in textstat's documentation, read in summary; the paper itself from memory). Above 6 it still
rises, so "6 or lower" is judged inside its range. The Fernández Huerta and Szigriszt-Pazos scores give an ease from
0 to 100, not a grade.

Sentences and words are counted by textstat. Spanish syllables are not: textstat counts hyphenation points, which
misses vowels that may not stand alone at a line's edge ("agua" 1, "mía" 1, "oído" 2), and so grades too low. Here they
are counted by the rules of Spanish spelling.
"""

from __future__ import annotations

import html
import re

import pyphen
import textstat

# A nucleus: a strong or accented vowel with the weak ones that lean on it, or weak ones alone ("ciu-dad", "muy").
_NUCLEUS = re.compile(r"[iuüy]*[aeoáéóíú](?:[iuüy](?![aeoáéóíú]))?|[iuüy]+")
_TAG = re.compile(r"</?[a-z]+>")
_ENDED = re.compile(r"[.!?:…]$")


def flesch_kincaid_grade(words: int, sentences: int, syllables: int) -> float:
    """Return the US school grade of an English text with these counts."""
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def crawford_grade(words: int, sentences: int, syllables: int) -> float:
    """Return the school year of a Spanish text with these counts."""
    return -0.205 * 100 * sentences / words + 0.049 * 100 * syllables / words - 3.407


def english_syllables(word: str) -> int:
    """Return the syllables of an English word by textstat's pronouncing dictionary, hyphenated parts added up.

    textstat fails on a word that its dictionary lacks; such a word counts its hyphenation points, as textstat means
    to do, or its groups of vowels where they are more.
    """
    textstat.set_lang("en_US")
    parts = word.split("-")
    return sum(_english_part(part.replace("’", "'")) for part in parts)


def _english_part(word: str) -> int:
    try:
        return int(textstat.syllable_count(word))
    except KeyError:
        hyphenated = len(pyphen.Pyphen(lang="en_US").positions(word.lower())) + 1
        sounded = re.findall(r"[aeiouy]+", re.sub(r"(?<=[^aeiouyl])e$", "", word.lower()))
        return max(hyphenated, len(sounded))


def spanish_syllables(word: str) -> int:
    """Return the syllables of a Spanish word, at least 1."""
    return max(1, len(_NUCLEUS.findall(word.lower())))


def words_in(text: str) -> list[str]:
    """Return the words of a text: letters and digits, hyphenated ones as one."""
    return re.findall(r"\w+(?:[-'’]\w+)*", text)


def as_sentences(*parts: str) -> str:
    """Return parts of a message (lines, headings, list items) as running text, each closed by a full stop."""
    plain = (html.unescape(_TAG.sub("", line)).strip(" •·") for part in parts for line in part.splitlines())
    return " ".join(line if _ENDED.search(line) else f"{line}." for line in plain if words_in(line))


def grade(text: str, language: str) -> float:
    """Return the school year that a text asks for, by the formula of its language.

    text: running text, see as_sentences.

    Raises:
        ValueError: the text holds no word, or the language has no formula here.
    """
    words = words_in(text)
    if not words:
        raise ValueError(f"no word to judge in {text!r}")
    sentences = textstat.sentence_count(text)
    if language == "en":
        return flesch_kincaid_grade(len(words), sentences, sum(map(english_syllables, words)))
    if language == "es":
        return crawford_grade(len(words), sentences, sum(map(spanish_syllables, words)))
    raise ValueError(f"no formula for the language {language!r}")
