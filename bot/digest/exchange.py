"""The week in forms that other programs and records take: CSV, and a visit note to paste."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from bot.digest.activity_figures import number
from bot.digest.clinic_lines import clinic_sections, window_section
from bot.digest.figures import FamilyDigest
from bot.digest.lines import figure_sections, rendered, word_sections
from bot.digest.trace import entries_behind
from bot.digest.wording import NameOf, wording_for
from bot.phrases import Words

CSV_COLUMNS = ("family", "date", "at", "activity", "minutes", "side", "carer", "entry", "messages")
"""One row a session, in the order they happened; the columns and their order stay as they are.

family: id. date: the local date it counts for. at: ISO 8601 with offset, local, when it happened or was told.
activity: id. minutes: a number, empty where not known. side: left, right or empty. carer: name.
entry: id of the entry. messages: ids of the messages behind it, separated by spaces.
"""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def csv_of(digests: Iterable[FamilyDigest]) -> str:
    """Return all sessions of the digests as CSV (RFC 4180, with a header, lines ended by CR LF)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(CSV_COLUMNS)
    for digest in digests:
        zone = ZoneInfo(digest.time_zone)
        for entry in entries_behind(digest):
            writer.writerow(
                (
                    digest.family,
                    entry.date.isoformat(),
                    entry.at.astimezone(zone).isoformat(),
                    entry.activity,
                    number(entry.minutes),
                    entry.side,
                    _harmless(entry.carer),
                    entry.id,
                    " ".join(entry.messages),
                )
            )
    return out.getvalue()


def _harmless(text: str) -> str:
    """Return a name that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def visit_note_text(digest: FamilyDigest, words: Words, name_of: NameOf) -> str:
    """Return the visit note as plain text to paste into a record: what was told at home, checks and scales, then
    headings to fill in."""
    say = words.plain
    wording = wording_for(digest, words, name_of)
    told = [*figure_sections(digest, wording), *word_sections(digest, wording)]
    clinic = [*clinic_sections(digest, wording), window_section(digest, wording)]

    def indented(text: str) -> str:
        return f"  {text}"

    return "\n".join(
        [
            f"{say('digest.visit_title')}: {digest.nickname} ({digest.family})",
            wording.baby(digest),
            "",
            f"{say('digest.visit_home').upper()}: {wording.period(digest)}. {wording.days(digest)}",
            *rendered(told, head=str, line=indented),
            "",
            *rendered(clinic, head=str.upper, line=indented),
            "",
            f"{say('digest.visit_seen').upper()}:",
            "",
            f"{say('digest.visit_plan').upper()}:",
            "",
        ]
    )
