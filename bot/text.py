"""Text as every reader compares it: small letters, no accents, plain apostrophes."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_SAME_AS = {
    **dict.fromkeys("’‘`´ʼ", "'"),
    **dict.fromkeys("º˚°", "°"),  # by Unicode's rules the first would be the letter o, and a degree is none
    "\u00ad": "",  # the soft hyphen shows only where a line breaks
}


# What no reader sees and no database or screen should get: control characters (a line's end and a tab stay), marks that turn
# the direction of all that follows, halves of characters.
_UNSEEN = dict.fromkeys(
    code
    for codes in (
        range(0x20),
        range(0x7F, 0xA0),
        range(0x202A, 0x202F),
        range(0x2066, 0x206A),
        range(0xD800, 0xE000),
    )
    for code in codes
    if chr(code) not in "\t\n\r"
)


def without_unseen(text: str) -> str:
    """Return a person's words without what nobody sees: control characters, marks of direction, halves of characters."""
    return text if text.isascii() and text.isprintable() else text.translate(_UNSEEN)


def plain_text(text: str) -> str:
    """Return the text with composed letters (Unicode NFC): one character for each letter that a person sees."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


@lru_cache(maxsize=4096)
def _fold_character(character: str) -> str:
    if character in _SAME_AS:
        return _SAME_AS[character]
    if character.isspace():
        return character
    decomposed = unicodedata.normalize("NFKD", character)
    return "".join(part for part in decomposed if not unicodedata.combining(part)).casefold()


def _fold_ascii(text: str) -> str:
    return text.lower().replace("`", "'")


def fold(text: str) -> str:
    """Return the text in small letters, without accents, with plain apostrophes and plain digits.

    "½" becomes "1⁄2" and "ß" becomes "ss", so that the length may change; `fold_with_offsets` says where each
    character came from.
    """
    return _fold_ascii(text) if text.isascii() else "".join([_fold_character(c) for c in text])


def fold_with_offsets(text: str) -> tuple[str, list[int] | None]:
    """Return the folded text, and for each of its characters the offset in `text` that it came from.

    The offsets are None where they are the same as the folded text's own.
    """
    if text.isascii():
        return _fold_ascii(text), None
    folded: list[str] = []
    came_from: list[int] = []
    for offset, character in enumerate(text):
        for part in _fold_character(character):
            folded.append(part)
            came_from.append(offset)
    return "".join(folded), came_from
