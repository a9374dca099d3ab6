"""Where a figure comes from: the entries behind it, and the messages they were read from. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal

from bot.digest.facts import ObservationFact, SessionFact
from bot.digest.figures import FamilyDigest
from bot.digest.prone import PRONE_ACTIVITIES
from bot.digest.wording import NameOf, Wording, wording_for
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


def entries_of(
    digest: FamilyDigest,
    figure: str,
    *,
    part: Part | None = None,
    day: date | None = None,
    carer: str | None = None,
) -> tuple[SessionFact, ...]:
    """Return the entries behind a figure of minutes: "all", "prone", or an activity's id."""
    if figure == "prone":
        prone = set(prone_entries(digest))
        return tuple(e for e in entries_behind(digest, part=part, day=day, carer=carer) if e in prone)
    activity = None if figure == "all" else figure
    return entries_behind(digest, activity=activity, part=part, day=day, carer=carer)


def messages_behind(digest: FamilyDigest, figure: str) -> tuple[str, ...]:
    """Return the ids of the messages that a figure was read from: "all", "prone", "seen", or an activity's id."""
    told: tuple[SessionFact | ObservationFact, ...] = (
        digest.seen if figure == "seen" else entries_of(digest, figure)
    )
    return tuple(dict.fromkeys(message for each in told for message in each.messages))


def trace_text(
    digest: FamilyDigest,
    figure: str,
    words: Words,
    name_of: NameOf,
    *,
    part: Part | None = None,
    day: date | None = None,
    carer: str | None = None,
    said: Mapping[str, str] | None = None,
) -> str:
    """Return the answer to "show me these minutes" as plain text: the sum, then a line an entry.

    figure: an activity's id, "all", "prone", "seen" (what carers saw) or "sent" (reminders).
    said: the carers' messages by id, shown verbatim; without any, the entries alone.
    """
    wording = wording_for(digest, words, name_of)
    if figure == "seen":
        return "\n".join(_seen_lines(digest, wording, said or {}))
    if figure == "sent":
        return "\n".join(_sent_lines(digest, wording))
    entries = entries_of(digest, figure, part=part, day=day, carer=carer)
    name = _figure_name(figure, wording)
    if not entries:
        return words.plain("digest.trace_none", activity=name)
    if any(each.activity == figure and each.counts_times for each in digest.activities):
        lines = [words.plain("digest.trace_head_times", activity=name, n=len(entries))]
    else:
        total = sum(entry.minutes or 0.0 for entry in entries)
        lines = [words.plain("digest.trace_head", activity=name, minutes=wording.minutes(total))]
    several = figure in ("all", "prone")
    for entry in entries:
        line = _entry_line(entry, wording, dated=said is None, named=several)
        lines.append(line if said is None else line + _verbatim(entry.messages, said, words))
    return "\n".join(lines)


def _figure_name(figure: str, wording: Wording) -> str:
    match figure:
        case "all":
            return wording.words.plain("page.where_all")
        case "prone":
            return wording.words.plain("page.where_prone")
        case _:
            return wording.name_of(figure)


def _entry_line(entry: SessionFact, wording: Wording, *, dated: bool, named: bool) -> str:
    """Return "Mon, Mar 2, 10:20 AM: 12 min, left, Mum"; the bare date where dated, or where no time was told. named:
    the activity too."""
    at_home = entry.at.astimezone(wording.zone).date() == entry.date
    told = {
        "day": wording.time(entry.at) if at_home and not dated else wording.day(entry.date),
        "side": wording.side(entry.side),
        "carer": entry.carer,
    }
    if named:
        told["side"] = f"{wording.name_of(entry.activity)}, {told['side']}"
    if entry.minutes is None:
        return wording.words.plain("digest.trace_no_length", **told)
    return wording.words.plain("digest.trace_line", minutes=wording.figure(entry.minutes), **told)


def _verbatim(messages: tuple[str, ...], said: Mapping[str, str], words: Words) -> str:
    told = [f"“{said[message]}”" for message in messages if said.get(message)]
    return f": {' '.join(told)}" if told else f" ({words.plain('page.from_button')})"


def _seen_lines(digest: FamilyDigest, wording: Wording, said: Mapping[str, str]) -> list[str]:
    words = wording.words
    if not digest.seen:
        return [words.plain("digest.trace_none", activity=words.plain("page.where_seen"))]
    return [words.plain("page.where_seen")] + [
        f"{wording.time(seen.at)}: {wording.seen_words(seen.kind, seen.side)}, {seen.carer}"
        + _verbatim(seen.messages, said, words)
        for seen in digest.seen
    ]


def _sent_lines(digest: FamilyDigest, wording: Wording) -> list[str]:
    """Return a line a reminder: when, what, and what became of it."""
    words = wording.words
    if not digest.sent:
        return [words.plain("digest.trace_none", activity=words.plain("page.where_sent"))]
    return [words.plain("page.where_sent")] + [
        f"{wording.time(sent.at) if sent.at else wording.day(sent.date)}: {wording.name_of(sent.activity)}, "
        + words.plain(f"page.sent_{sent.state}")
        + (f" ({words.plain(f'digest.skip_{sent.reason}')})" if sent.reason else "")
        for sent in digest.sent
    ]
