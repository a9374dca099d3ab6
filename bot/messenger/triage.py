"""Which updates may hold a concern, told from their raw form before anything else is read from them.

Only the order of handling hangs on it: the update itself is read in full later, with the baby's own age and side.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from bot.concerns.reader import shipped_reader

LONGEST = 4096  # characters of one message (the service's published limit)


def urgent_among(updates: Iterable[Mapping[str, Any]]) -> set[int]:
    """Return the ids of the updates whose words may hold a concern."""
    return {raw["update_id"] for raw in updates if may_hold_concern(words_in(raw))}


def may_hold_concern(text: str) -> bool:
    """Whether any sign stands or is unclear, by the strictest reading: a newborn's, whichever the arm."""
    if not text.strip():
        return False
    findings = shipped_reader().read(text[:LONGEST], age_weeks=0, affected_side="both")
    return findings.concern is not None or findings.unclear is not None


def words_in(raw: Mapping[str, Any]) -> str:
    """Return what a person wrote in an update, as far as its raw form tells, whatever that form is."""
    message = raw.get("message") or raw.get("edited_message")
    if not isinstance(message, Mapping):
        return ""
    poll, venue = message.get("poll"), message.get("venue")
    found = [message.get("text"), message.get("caption")]
    if isinstance(poll, Mapping):
        options = poll.get("options")
        found += [poll.get("question")]
        found += (
            [each.get("text") for each in options if isinstance(each, Mapping)]
            if isinstance(options, list)
            else []
        )
    if isinstance(venue, Mapping):
        found += [venue.get("title")]
    return "\n".join(text for text in found if isinstance(text, str))
