"""What is asked about: an entry that cannot be counted as it stands, where the message reports at all.

A message that asks for something, or tells of other things, often holds a number or a deed in passing: "call me after 4",
"can I lay her on the tummy after a feed?". Asking about those would count nothing and cost the carer a tap.
"""

from __future__ import annotations

from bot.replies.marks import kinds
from bot.replies.page import Page
from bot.replies.reading import Entry, RequestKind, SkipReason

MOST_MINUTES = 240
_MOST_UNKNOWN = 1  # in a message that says no more than that something was done
# What a carer wants that is no report; a correction and an undo are about a report.
_WANTS: frozenset[RequestKind] = frozenset(
    {"question", "contact", "refresher", "pause", "resume", "stop", "help", "today", "week", "later"}
)
_TELLS_MORE = kinds("event unwell away observed hand arm head turn lift roll neg messages asleep person")


def needs_asking(entries: list[Entry], corrects: bool) -> bool:
    """Return whether an entry must be asked about before it counts (reading rules 2, 3 and 10)."""
    return any(
        (e.minutes is None and e.times is None)
        or (e.minutes is not None and not 0 < e.minutes <= MOST_MINUTES)
        or (e.activity is None and not corrects)
        for e in entries
    )


def reported(
    page: Page, entries: list[Entry], wanted: RequestKind | None, reason: SkipReason | None
) -> list[Entry]:
    """Return the entries without those that only stand in passing, beside a wish, a reason or a real amount."""
    prompt = page.context.prompt
    kept = entries
    if wanted in _WANTS:
        kept = [e for e in kept if e.activity is not None or prompt]
        asked_of = not page.where("vague")  # "a bit of tummy, couldn't tell you how long" reports
        kept = [
            e for e in kept if not (asked_of and _unmeasured(e)) or (prompt and e.activity == prompt.activity)
        ]
    if reason is not None or any(e.minutes for e in kept):
        kept = [e for e in kept if e.minutes != 0]
    return kept


def only_says_done(page: Page, wanted: RequestKind | None) -> bool:
    """Return whether a message without a reminder says little more than that something was done: "all done!", "listo"."""
    if wanted is not None or page.holds(_TELLS_MORE):
        return False
    return len(page.where("unknown")) <= _MOST_UNKNOWN or bool(page.where("generic"))


def _unmeasured(entry: Entry) -> bool:
    return entry.minutes is None and entry.times is None
