"""Dates among the tokens of a plan line, and whether a line is plain enough to be read."""

from __future__ import annotations

from bot.parsing.plan_line.tokens import Token

DATES = {"from_", "until", "for_days"}


def with_dates(tokens: list[Token]) -> list[Token]:
    """Take a date that stands by itself as the first one, where the same part says that something starts."""
    starts = any(token.kind == "op" and token.name == "start" for token in tokens)
    return [
        Token(token.kind, "from_", token.value, token.start, token.end)
        if starts and token.name == "some_date"
        else token
        for token in tokens
    ]


def plain_enough(op: Token | None, tokens: list[Token]) -> bool:
    """Say whether a part may be acted on.

    A date of which nobody knows whether it is the first or the last spoils the whole part. So does anything unread, or a dose,
    where an activity is taken out; and one is held only with a date.
    """
    if any(token.name == "some_date" for token in tokens):
        return False
    if op is None:
        return True
    if any(token.kind == "unread" for token in tokens):
        return False
    said = {token.name for token in tokens if token.kind == "field"}
    return bool(said & DATES) or (op.name == "remove" and not said)
