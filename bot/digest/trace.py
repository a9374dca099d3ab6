"""Where a figure comes from: the entries behind it, and the messages they were read from. Pure."""

from __future__ import annotations

from datetime import date
from typing import Literal

from bot.digest.facts import ObservationFact, SessionFact
from bot.digest.figures import FamilyDigest
from bot.digest.week import PRONE_ACTIVITIES
from bot.digest.wording import NameOf, wording_for
from bot.phrases import Words

Part = Literal["left", "right", "unsided"]


def entries_behind(
    digest: FamilyDigest,
    *,
    activity: str | None = None,
    part: Part | None = None,
    day: date | None = None,
    carer: str | None = None,
) -> tuple[SessionFact, ...]:
    """Return the entries that a figure of minutes or of sessions is the sum of, in the order they happened.

    Each argument narrows the choice as the figure does: an activity's row, its left, right or unsided minutes,
    one date, one carer. With none of them, everything that was told.
    """
    sides = {"left": "left", "right": "right", "unsided": None}
    chosen = [
        entry
        for figures in digest.activities
        for entry in figures.entries
        if (activity is None or entry.activity == activity)
        and (part is None or entry.side == sides[part])
        and (day is None or entry.date == day)
        and (carer is None or entry.carer == carer)
    ]
    return tuple(sorted(chosen, key=lambda entry: (entry.date, entry.at)))


def prone_entries(digest: FamilyDigest) -> tuple[SessionFact, ...]:
    """Return the entries that the minutes on the tummy are the sum of."""
    return tuple(entry for entry in entries_behind(digest) if entry.activity in PRONE_ACTIVITIES)


def observations_behind(digest: FamilyDigest, kind: str, side: str | None) -> tuple[ObservationFact, ...]:
    """Return the observations that a count is made of."""
    return tuple(o for o in digest.seen if o.kind == kind and o.side == side)


def trace_text(
    digest: FamilyDigest,
    activity: str,
    words: Words,
    name_of: NameOf,
    *,
    part: Part | None = None,
    day: date | None = None,
) -> str:
    """Return the answer to "show me these minutes" as plain text: the sum, then a line an entry."""
    wording = wording_for(digest, words, name_of)
    entries = entries_behind(digest, activity=activity, part=part, day=day)
    name = name_of(activity)
    if not entries:
        return words.plain("digest.trace_none", activity=name)
    total = sum(entry.minutes or 0.0 for entry in entries)
    lines = [words.plain("digest.trace_head", activity=name, minutes=wording.minutes(total))]
    for entry in entries:
        told = {"day": wording.day(entry.date), "side": wording.side(entry.side), "carer": entry.carer}
        if entry.minutes is None:
            lines.append(words.plain("digest.trace_no_length", **told))
        else:
            lines.append(words.plain("digest.trace_line", minutes=wording.minutes(entry.minutes), **told))
    return "\n".join(lines)
