"""Names compared as people write them. Pure."""

from __future__ import annotations

import re

from bot.text import fold


def folded(text: str) -> str:
    """Return a text without case, accents and spare spaces, for comparing names."""
    return " ".join(fold(text).split())


def speaks_of(text: str, name: str) -> bool:
    """Return whether a text holds a name as a word or words of its own, whatever its case and accents."""
    wanted = folded(name)
    return bool(wanted) and re.search(rf"(?<!\w){re.escape(wanted)}(?!\w)", folded(text)) is not None
