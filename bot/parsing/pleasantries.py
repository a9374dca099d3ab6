"""Thanks and greetings: answered in a word, and no business of the therapist's list of unread words."""

from __future__ import annotations

import re

_THANKS = re.compile(
    r"\W*(?:(?:ok(?:ay)?|many|muchas|mil)\W+)?(?:thanks?|thank you|thx|ty|cheers|gracias)(?:\W+(?:so much|a lot|again|por todo))?\W*",
    re.IGNORECASE,
)
_GREETING = re.compile(
    r"\W*(?:hi|hello|hey|good (?:morning|afternoon|evening|night)|hola|buen(?:os)? d[ií]as?|buenas(?: tardes| noches)?)(?:\W+there)?\W*",
    re.IGNORECASE,
)


def phrase_for(text: str) -> str | None:
    """Return the phrase that answers a mere thank-you or greeting; None for anything that says more."""
    if _THANKS.fullmatch(text):
        return "pleasantry.welcome"
    return "pleasantry.hello" if _GREETING.fullmatch(text) else None
