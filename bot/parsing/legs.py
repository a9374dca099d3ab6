"""A way there and back in one message: "20 there 20 back", "20 de ida y 20 de vuelta". Pure; a whole message only."""

from __future__ import annotations

import re

from bot.parsing.word_lists import holds, made_of, words_in


def there_and_back(text: str) -> int | None:
    """Return the minutes of both ways together; None for anything that says something else.

    Of what they were is not said: a walk is no tummy time, so that it is asked about.
    """
    words = words_in(text)
    numbers = [int(word) for word in words if re.fullmatch(r"[0-9]{1,3}", word)]
    rest = [word for word in words if not word.isdecimal()]
    if len(numbers) != 2 or not (holds(rest, "legs.out") and holds(rest, "legs.back")):
        return None
    return sum(numbers) if made_of(rest, ("legs.out", "legs.back", "legs.beside")) else None
