"""Names compared as people write them. Pure."""

from __future__ import annotations

import unicodedata


def folded(text: str) -> str:
    """Return a text without case, accents and spare spaces, for comparing names."""
    plain = unicodedata.normalize("NFD", text.casefold())
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())
