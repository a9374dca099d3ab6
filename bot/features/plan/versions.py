"""The list of a plan's versions, the newest first: when each was made, by whom, and what it brought."""

from __future__ import annotations

from collections.abc import Sequence

from bot.domain.people import Family
from bot.domain.plans import PlanVersion
from bot.features.context import Context
from bot.features.formats import actor_named, date_shown
from bot.phrases import Words

MOST_LISTED = 8


def version_lines(
    context: Context, family: Family, versions: Sequence[PlanVersion], words: Words
) -> list[str]:
    """Return the newest versions in lines of message text, the newest first. versions: the oldest first."""
    lines = []
    for version in reversed(versions[-MOST_LISTED:]):
        lines += version_shown(context, family, version, words)
    return lines


def version_shown(context: Context, family: Family, version: PlanVersion, words: Words) -> list[str]:
    """Return one version in a line or two."""
    by = actor_named(context, version.made_by, family, words)
    day = date_shown(family.local(version.made_at).date(), words)
    lines = [words("change.version", n=version.version, day=day, by=by)]
    if version.note:
        lines.append(words("change.version_note", note=version.note))
    return lines
