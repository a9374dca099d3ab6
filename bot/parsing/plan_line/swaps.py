"""One activity in place of another: "replace football hold with side lying", "rolling instead of bath". Pure."""

from __future__ import annotations

from dataclasses import replace

from bot.parsing.plan_line.tokens import Token

SWAPS = {"swap", "instead"}
MOMENTS_PRACTISED = {"bath", "dressing"}  # care moments that are activities too, under the same id


def taken_out(tokens: list[Token]) -> tuple[Token | None, list[Token]]:
    """Return the name that makes way, where a part says so, and the tokens without it.

    "Swap A for B" takes out A; "B instead of A" and "instead of A" too. Of a swap that is told in any other way, or with
    anything unread in its part, the whole part is handed back as unread.
    """
    op = next((token for token in tokens if token.kind == "op" and token.name in SWAPS), None)
    if op is None:
        return None, tokens
    tokens = [_named(token) for token in tokens]
    names = [token for token in tokens if token.kind == "name"]
    after = [token for token in names if token.start > op.start]
    clear = all(token.kind != "unread" for token in tokens)
    if clear and op.name == "instead" and len(after) == 1 and len(names) <= 2:
        gone = after[0]
    elif clear and op.name == "swap" and len(after) == len(names) == 2:
        gone = names[0]
    else:
        return None, [replace(token, kind="unread") for token in tokens]
    return gone, [token for token in tokens if token not in (op, gone)]


def _named(token: Token) -> Token:
    """Take the care moment of "replace A with bath" as the activity of that name; a swap says of no moment."""
    if token.name == "moments" and len(token.value) == 1 and token.value[0] in MOMENTS_PRACTISED:
        return replace(token, kind="name", name=token.value[0], value=None)
    return token
