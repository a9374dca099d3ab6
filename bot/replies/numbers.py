"""What number words are worth, by the number-word library."""

from __future__ import annotations

from functools import lru_cache

from text_to_num import text2num

# The library wants the accents that folding took away.
_ACCENTED = {"veintidos": "veintidós", "veintitres": "veintitrés", "veintiseis": "veintiséis"}
_MOST_DIGITS = 5


@lru_cache(maxsize=2048)
def words_value(words: tuple[str, ...]) -> float | None:
    """Return the value of number words in either language ("veinte", "twenty five"), or None if they are none."""
    phrase = " ".join(_ACCENTED.get(word, word) for word in words)
    for language in ("en", "es"):
        try:
            return float(text2num(phrase, language))
        except ValueError:
            continue
    return None


def digits_value(text: str) -> float | None:
    """Return the value of digits with an optional decimal mark, or None where they are too long for an amount."""
    if text in _FRACTIONS:
        return _FRACTIONS[text]
    whole, _, part = text.replace(",", ".").partition(".")
    if len(whole) > _MOST_DIGITS or len(part) > _MOST_DIGITS:
        return None
    return float(f"{int(whole)}.{int(part):0{len(part)}d}") if part else float(int(whole))


# As folding leaves ½, ¼ and ¾.
_FRACTIONS = {"1⁄2": 0.5, "1⁄4": 0.25, "3⁄4": 0.75}
