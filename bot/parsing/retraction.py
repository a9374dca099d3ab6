"""Words by which a carer takes an alarm back or says that it is over. Pure.

They are looked for only while a concern is open, and close nothing: they say that a message is news of it and no minutes.
"""

from __future__ import annotations

from bot.parsing.word_lists import holds, words_in


def speaks_of_alarm(text: str) -> bool:
    """Say whether a message takes an alarm back, says how it went on, or what a doctor said of it."""
    words = tuple(word for word in words_in(text) if word[0].isalnum())
    return holds(words, "retraction.news")
