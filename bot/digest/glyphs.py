"""Characters that a picture or document may lack, such as emoji, told by name instead of drawn as an empty box."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

MODIFIERS = frozenset({"\ufe0e", "\ufe0f", "\u200d", *map(chr, range(0x1F3FB, 0x1F400))})
"""Variation selectors, joiner and skin tones: they change how an emoji looks and say nothing by themselves."""


def font_folder() -> Path:
    """Return the folder of the fonts that come with matplotlib: DejaVu, under a free licence."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@cache
def _drawable() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font

    return frozenset(FT2Font(str(font_folder() / "DejaVuSans.ttf")).get_charmap())


def drawable(text: str) -> str:
    """Return the text with each character that the fonts lack replaced by its Unicode name: "[thumbs up sign]".

    Line breaks stay; other control characters become spaces.
    """
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character == "\n" or ord(character) in _drawable():
        return character
    if character in MODIFIERS:
        return ""
    if unicodedata.category(character) == "Cc":
        return " "
    return f"[{unicodedata.name(character, f'U+{ord(character):04X}').lower()}]"
