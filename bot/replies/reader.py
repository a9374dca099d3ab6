"""Reading a carer's reply: from words to marks, from marks to amounts and clauses, from those to what was meant."""

from __future__ import annotations

from dataclasses import replace

from bot.concerns.finding import LEARNED, Concern, Findings
from bot.concerns.learned.asking import with_question
from bot.concerns.learned.model import CALMEST_ASKED, Judgement, shipped_model
from bot.concerns.reader import find_concerns
from bot.replies.activities import activity_asked
from bot.replies.amounts import with_amounts
from bot.replies.clauses import shape_of
from bot.replies.clocks import with_clocks
from bot.replies.days import named_days, with_saturdays
from bot.replies.done import affirmed, says_heard, says_yes
from bot.replies.doubts import needs_asking, only_says_done, reported
from bot.replies.entries import is_no_length, logged
from bot.replies.marks import Mark, marks_of
from bot.replies.observations import observations_of
from bot.replies.page import Page
from bot.replies.reading import Entry, Observation, Reading, ReplyContext, SkipReason
from bot.replies.reports import not_reported, strange_deeds
from bot.replies.requests import request_of
from bot.replies.rewriting import without_free
from bot.replies.skips import skipped
from bot.replies.times import with_counts, with_moments
from bot.replies.tokens import tokens_of
from bot.replies.unread import unread_part
from bot.text import plain_text

# With one of these, reasons not to do an activity are reasons for the request.
_NO_SKIP = frozenset({"undo", "correct", "pause", "resume", "stop", "help", "today", "week"})
_CHANGES_COUNTS = frozenset({"correct", "undo"})
_SET_RIGHT = frozenset({"amount", "activity", "side"})  # of a correction, also what was wrong
_HOTTEST = 110.0  # °F: a number up to here may be a temperature, whatever stands beside it
_OF_A_DAY = frozenset({"number", "measured", "ago", "day", "weekday"})
_NO_YES = frozenset(
    {"later", "undo", "correct", "pause", "resume", "stop", "help", "today", "week", "contact"}
)


def activity_named(text: str, context: ReplyContext) -> str | None:
    """Return the activity that a text names, the one of the plan first; None where it names none."""
    return activity_asked(_marks(text, context), replace(context, prompt=None))


def activities_named(text: str, context: ReplyContext) -> frozenset[str]:
    """Return every activity that a text names."""
    return frozenset(mark.value for mark in _marks(text, context) if mark.kind == "activity")


def _marks(text: str, context: ReplyContext) -> list[Mark]:
    plain = plain_text(text)
    return marks_of(plain, tokens_of(plain), context.language)


def read_reply(text: str, context: ReplyContext) -> Reading:
    """Return what one message says. Pure; any text of up to 4096 characters gives a reading.

    What nothing accounts for comes back in `unread`; a text that yields nothing else comes back whole.
    """
    text = plain_text(text)
    found = find_concerns(text, age_weeks=context.age_weeks, affected_side=context.affected_side)
    judged = shipped_model().judge(text, found.seen)
    findings = with_question(found, judged)
    everything = with_saturdays(
        text, marks_of(text, with_moments(tokens_of(text), context), context.language)
    )
    row = with_counts(with_amounts(with_clocks(without_free(everything))), context)
    hidden = _hidden(row, findings)
    page = Page(row, shape_of(row), hidden, context, named_days(row, context.now))
    if findings.unclear is None:
        page, findings = _counting_reports(text, page, findings, judged)
    return _reading(text, page, findings, everything)


def _counting_reports(text: str, page: Page, findings: Findings, judged: Judgement) -> tuple[Page, Findings]:
    """Return the page with nothing counted that may be no session (rule 16), and what is asked about for that."""
    raised = findings.concern is not None and findings.concern.urgency != "tell_therapist"
    uncounted = strange_deeds(text, page.row, page.shape)
    if raised or judged.doubtful:
        uncounted |= not_reported(page.row, page.shape, page.hidden)
    if not uncounted:
        return page, findings
    kept = replace(page, uncounted=uncounted, _live={})
    left = not raised and logged(kept).entries != logged(page).entries
    if left and judged.grave >= CALMEST_ASKED:
        findings = replace(findings, unclear=Concern(judged.urgency, (LEARNED,)))
    return kept, findings


def _reading(text: str, page: Page, findings: Findings, everything: list[Mark]) -> Reading:
    if findings.unclear is not None:
        return _asked_about(text, page, findings)
    done = logged(page)
    concerned = findings.concern is not None
    entries = done.entries
    alarmed = findings.concern is not None and findings.concern.urgency != "tell_therapist"
    request, asked = request_of(page, bool(entries), concerned=concerned, alarmed=alarmed)
    kind = request.kind if request else None
    some = [entry for entry in entries if entry.minutes != 0]
    reason, why = skipped(page, some, concerned) if kind not in _NO_SKIP else (None, set())
    doubt, kept = done.doubt, reported(page, entries, kind, reason)
    if entries and not kept:
        doubt, done.used = False, set()
    entries = kept
    if not entries and not doubt and not concerned and reason is None and kind not in _NO_YES:
        entries, doubt = _yes(page, bool(request))
    if doubt and not entries and page.context.prompt is None:
        doubt = only_says_done(page, kind)
    seen, seen_at = observations_of(page, done.used, bool(entries), concerned)
    if concerned:
        seen = [o for o in seen if o.kind != "tolerated_well"]
    if reason is not None and not entries:
        seen = [o for o in seen if not _of_skipped(o, reason)]
    reading = Reading(
        entries=tuple(entries),
        skipped=reason,
        observations=tuple(seen),
        request=request,
        concern=findings.concern,
        confirm=bool(
            doubt or needs_asking(entries, kind == "correct") or _left_out(page, entries, concerned)
        ),
    )
    used = done.used | asked | why | seen_at
    return _with_unread(reading, text, page, used, everything)


def _left_out(page: Page, entries: list[Entry], concerned: bool) -> bool:
    """Return whether an amount was left out of what is counted, and nothing else says what the message is."""
    if entries or concerned:
        return False
    return any(page.row[n].kind == "amount" and not is_no_length(page, n) for n in page.uncounted)


def _asked_about(text: str, page: Page, findings: Findings) -> Reading:
    """Return the reading of what may be a concern: while the carer is asked nothing is counted, and every word is kept."""
    request, _ = request_of(page, False, concerned=True, alarmed=True)
    return Reading(
        request=None if request and request.kind in _CHANGES_COUNTS else request,
        concern=findings.concern,
        confirm=True,
        unread=text.strip() or None,
        unclear=findings.unclear,
    )


def _of_skipped(seen: Observation, reason: SkipReason) -> bool:
    """Return whether a mood is only why nothing was done: "snuffly and miserable", "let her be, all calm"."""
    return seen.kind == "tolerated_well" or (
        seen.kind == "tolerated_poorly" and reason not in ("refused", "other")
    )


def _yes(page: Page, asked: bool) -> tuple[list[Entry], bool]:
    """Return the entry of a message that says yes to the reminder, and whether it must be asked about.

    With no reminder, and for "ok", which may only mean that the reminder was seen, it must.
    """
    if asked:
        return [], False
    if says_yes(page):
        entry = affirmed(page)
        return ([entry], False) if entry else ([], True)
    return [], says_heard(page)


def _with_unread(reading: Reading, text: str, page: Page, used: set[int], everything: list[Mark]) -> Reading:
    empty = not (reading.entries or reading.observations or reading.skipped or reading.request)
    if empty and reading.concern is None and not reading.confirm:
        return _replaced(reading, text.strip() or None)
    row = page.row
    corrects = reading.request is not None and reading.request.kind == "correct"
    timed = any(entry.at for entry in reading.entries)
    dated = {k for place, _ in page.days for k in (place, place + 1, place + 2)}
    for n, m in enumerate(row):
        if (
            m.value == "goal"
            or (timed and m.kind == "clock")
            or (corrects and m.kind in _SET_RIGHT)
            or (m.kind == "number" and n and row[n - 1].kind == "goal")
            or (n in dated and m.kind in _OF_A_DAY)
        ):
            used.add(n)
    read = [m for n, m in enumerate(row) if n in used or n in page.hidden]
    accounted = _within(everything, read)
    return _replaced(reading, unread_part(text, everything, accounted))


def _within(marks: list[Mark], read: list[Mark]) -> set[int]:
    """Return which marks lie inside one of the marks that were read; both are in the order of the text."""
    inside: set[int] = set()
    at = 0
    for n, mark in enumerate(marks):
        while at < len(read) and read[at].end < mark.end:
            at += 1
        if at < len(read) and read[at].start <= mark.start:
            inside.add(n)
    return inside


def _replaced(reading: Reading, unread: str | None) -> Reading:
    return replace(reading, unread=unread)


def _hidden(row: list[Mark], findings: Findings) -> frozenset[int]:
    """Return the marks that lie inside what a sign of trouble was read from."""
    spans = sorted((span.start, span.end) for span in findings.spans)
    hidden: set[int] = set()
    reach = at = 0
    for n, mark in enumerate(row):
        while at < len(spans) and spans[at][0] <= mark.start:
            reach = max(reach, spans[at][1])
            at += 1
        if spans and mark.end <= reach:
            hidden.add(n)
    alone = {n for n in hidden if row[n].kind == "amount" and (row[n].start, row[n].end) in spans}
    alone = {n for n in alone if (row[n].number or 0.0) > _HOTTEST}
    return frozenset(hidden - {n for n in alone if _beside_activity(row, n)})


def _beside_activity(row: list[Mark], at: int) -> bool:
    """Return whether a number that is an emergency number too is told of an activity: "112 on the tummy"."""
    return any(row[n].kind in ("activity", "did") for n in (at - 1, at + 1) if 0 <= n < len(row))
