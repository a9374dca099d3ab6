"""A yes or a no, in words or by a sign."""

from __future__ import annotations

from bot.domain.names import folded

YES = frozenset(
    [
        "yes",
        "y",
        "yep",
        "yeah",
        "ok",
        "okay",
        "sure",
        "right",
        "correct",
        "si",
        "claro",
        "vale",
        "dale",
        "bueno",
        "👍",
        "✅",
        "👌",
    ]
)
NO = frozenset(["no", "nope", "nah"])


def says_yes(text: str) -> bool:
    return _bare(text) in YES


def says_no(text: str) -> bool:
    return _bare(text) in NO


def _bare(text: str) -> str:
    return folded(text.strip().strip(".!¡"))
