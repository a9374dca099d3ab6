"""Whether a message says that a sleeping baby is awake: asked only while the bot holds reminders back for the sleep."""

from __future__ import annotations

import re

MOST_WORDS = 8  # a longer message says more than that
_AWAKE = re.compile(
    r"\b(?:awake|woke|woken|waking|(?:is|are|'s|’s|got|getting) up|up (?:now|again)|wide[- ]eyed"
    r"|despert(?:ó|o|amos|aron)|despiert[oa]s?|se levant(?:ó|o))\b|^\s*up\s*[.!]*\s*$",
    re.IGNORECASE,
)
_NOT_YET = re.compile(
    r"\b(?:not|isn|hasn|haven|won|don|didn|never|until|till|when|if|wait|before|night|was|still asleep"
    r"|no|todav[ií]a|a[uú]n|cuando|si|hasta|antes|noche|estaba|estuvo)\b",
    re.IGNORECASE,
)


def says_awake(text: str) -> bool:
    """Return whether a short message says that the baby is awake now."""
    return len(text.split()) <= MOST_WORDS and bool(_AWAKE.search(text)) and not _NOT_YET.search(text)
