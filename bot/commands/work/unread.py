"""What was not understood or asked about, for the clinic's own eyes, so that the vocabulary can grow."""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import cast

from bot.clock import RealClock
from bot.commands.answer import answer, table
from bot.domain.actor import SERVER
from bot.errors import InputProblem
from bot.messenger.installation import opened
from bot.settings import Settings, load_settings

SHOWN = 3  # examples of each group


def run(since: str | None, env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    now = RealClock().now()
    start = now - timedelta(days=30)
    if since is not None:
        try:
            start = datetime.fromisoformat(since).replace(tzinfo=UTC)
        except ValueError:
            raise InputProblem(f"--since {since!r} is no date; write it like 2026-03-01") from None
    found = _found(settings, start, now)
    value = [
        {"was": was, "words": words, "times": len(texts), "texts": texts[:SHOWN]}
        for was, texts_of in found.items()
        for words, texts in grouped(texts_of)
    ]
    rows = [(each["times"], each["was"], " | ".join(cast("list[str]", each["texts"]))) for each in value]
    answer(
        value,
        table(("times", "was", "as written"), rows) if rows else ["Everything was understood."],
        as_json=as_json,
    )


def _found(settings: Settings, start: datetime, now: datetime) -> dict[str, list[str]]:
    """Return the words by what became of them."""
    with opened(settings) as store, store.write() as uow:
        uow.audit.note(who=SERVER, what="unread words listed", now=now)
        asked = uow.concerns.asked_about_since(start)
        return {
            "not understood": uow.messages.unparsed_since(start),
            "asked about, and no concern": [text for text, denied in asked if denied],
            "asked about": [text for text, denied in asked if not denied],
        }


def grouped(texts: list[str]) -> list[tuple[str, list[str]]]:
    """Group texts by the same words in any order, case and punctuation; (words, texts), the largest group first."""
    groups: dict[str, list[str]] = defaultdict(list)
    for text in texts:
        words = sorted({"".join(c for c in word if c.isalnum()) for word in text.casefold().split()} - {""})
        groups[" ".join(words) or text].append(text)
    return sorted(groups.items(), key=lambda group: (-len(group[1]), group[0]))
