"""Why a text was read as it was: the signs with their words, and the learned reader's share. For people who mend words."""

from __future__ import annotations

from bot.concerns.learned.model import shipped_model
from bot.concerns.reader import shipped_reader
from bot.replies.reading import ReplyContext
from bot.text import plain_text


def why(text: str, context: ReplyContext) -> list[str]:
    """Return lines for a terminal: each sign with its words and how it stands, and how like trouble the message looks."""
    text = plain_text(text)
    reader = shipped_reader()
    age, side = context.age_weeks, context.affected_side
    found = reader.evidence(text, age_weeks=age, affected_side=side)
    seen = reader.read(text, age_weeks=age, affected_side=side).seen
    share = 100 * shipped_model().judge(text, seen).share
    told: dict[tuple[str, str, str], str] = {}
    for each in found:  # of the wordings of one sign, the one that takes in the most words
        key = (each.sign, each.urgency or "hint", each.standing)
        told[key] = max(told.get(key, ""), each.words, key=len)
    return [
        *(f"sign: {sign} ({urgency}), {how}, from “{words}”" for (sign, urgency, how), words in told.items()),
        f"learned: {share:.0f} % like messages of trouble",
    ]
