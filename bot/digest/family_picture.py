"""The family's own week as a PNG: what they did together and what they saw.

The same figures as the therapist's, told warmly: no target, no share, no comparison. A day without minutes is an
open ring, whether nobody wrote or nothing was done.
"""

from __future__ import annotations

from bot.digest.canvas import WIDTH_INCHES, Sheet, clipped
from bot.digest.figures import FamilyDigest
from bot.digest.glyphs import drawable
from bot.digest.lines import TOLERANCE
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

PAPER = "#fff8ee"
BROWN = "#4a3728"
SOFT_BROWN = "#8b7463"
HONEY = "#f2a541"
CLAY = "#c8683f"

MARGIN = 0.42
HEAD = 1.55
DAYS_HEIGHT, EMPTY_DAYS_HEIGHT = 1.9, 0.4
ROW = 0.42
NAMES_WIDTH = 2.6
MOST_SEEN = 6


def family_week_picture(digest: FamilyDigest, words: Words, name_of: NameOf) -> bytes:
    """Return the picture that the carers get: minutes by day and by activity, and what they saw."""
    wording = wording_for(digest, words, name_of)
    done = sorted((a for a in digest.activities if a.minutes), key=lambda a: -(a.minutes or 0.0))
    seen = [o for o in digest.observations if o.count and o.kind not in TOLERANCE][:MOST_SEEN]
    days_height = DAYS_HEIGHT if done else EMPTY_DAYS_HEIGHT
    woven = [a for a in digest.activities if a.counts_times and a.sessions and not a.minutes]
    rows = len(done) + len(woven) + (len(seen) + 1 if seen else 0)
    sheet = Sheet(HEAD + days_height + 0.75 + ROW * rows + (0.15 if seen else 0.0), PAPER)
    _heading(sheet, digest, wording)
    _draw_days(sheet, HEAD + days_height, days_height, digest, wording)
    y = HEAD + days_height + 0.85
    most = max((a.minutes or 0.0 for a in done), default=1.0)
    for figures in done:
        _draw_row(sheet, y, wording.name_of(figures.activity), figures.minutes or 0.0, most, wording)
        y += ROW
    for figures in woven:
        told = words.plain("digest.own_times", n=figures.sessions)
        sheet.text(MARGIN, y, drawable(clipped(wording.name_of(figures.activity), 26)), size=12, color=BROWN)
        sheet.text(MARGIN + NAMES_WIDTH, y, told, size=12, color=BROWN)
        y += ROW
    if seen:
        y += 0.15
        sheet.text(MARGIN, y, words.plain("digest.own_seen"), size=13, color=BROWN, bold=True)
        for observed in seen:
            y += ROW
            _draw_seen(sheet, y, wording.seen_kind(observed), observed.count or 0)
    return sheet.png()


def _heading(sheet: Sheet, digest: FamilyDigest, wording: Wording) -> None:
    say = wording.words.plain
    title = drawable(say("digest.own_title", nickname=clipped(digest.nickname, 24)))
    sheet.text(MARGIN, 0.42, title, size=22, color=BROWN, bold=True)
    days = len({entry.date for a in digest.activities for entry in a.entries})
    minutes = sum(a.minutes or 0.0 for a in digest.activities)
    if days:
        times = sum(a.sessions or 0 for a in digest.activities if a.counts_times)
        total = say("digest.own_total", n=round(minutes)) if minutes else say("digest.own_times", n=times)
        told = (
            f"{total} {say('digest.own_days', n=days)}"
            if minutes or times
            else say("digest.own_days", n=days)
        )
    else:
        told = say("digest.own_nothing")
    sheet.text(MARGIN, 0.82, told, size=14, color=CLAY, bold=True)
    span = say("digest.period", from_=wording.short_day(digest.from_), to=wording.short_day(digest.to))
    sheet.text(MARGIN, 1.12, span, size=11, color=SOFT_BROWN)


def _draw_days(sheet: Sheet, base: float, height: float, digest: FamilyDigest, wording: Wording) -> None:
    """Draw a bar a day with its minutes above, standing on `base`; a ring where nothing was told."""
    by_day = [
        sum(entry.minutes or 0.0 for a in digest.activities for entry in a.entries if entry.date == day)
        for day, _ in digest.days
    ]
    most = max([*by_day, 1.0])
    step = (WIDTH_INCHES - 2 * MARGIN) / len(by_day)
    for place, ((day, _), minutes) in enumerate(zip(digest.days, by_day, strict=True)):
        middle = MARGIN + step * (place + 0.5)
        if minutes:
            tall = max(minutes / most, 0.05) * (height - 0.25)
            sheet.box(middle - step * 0.28, base - tall, step * 0.56, tall, facecolor=HONEY, linewidth=0.0)
            sheet.text(
                middle, base - tall - 0.12, wording.minutes(minutes), size=11, color=BROWN, align="center"
            )
        else:
            sheet.ring(middle, base - 0.13, SOFT_BROWN, PAPER)
        for down, label in ((0.16, wording.weekday(day)), (0.35, str(day.day))):
            sheet.text(middle, base + down, label, size=11, color=BROWN, align="center")
    sheet.rule((MARGIN, base), (WIDTH_INCHES - MARGIN, base), SOFT_BROWN, 0.8)


def _draw_row(sheet: Sheet, y: float, name: str, minutes: float, most: float, wording: Wording) -> None:
    sheet.text(MARGIN, y, drawable(clipped(name, 26)), size=12, color=BROWN)
    x = MARGIN + NAMES_WIDTH
    wide = (WIDTH_INCHES - MARGIN - x - 0.85) * minutes / most
    sheet.box(x, y - 0.11, wide, 0.22, facecolor=HONEY, linewidth=0.0)
    sheet.text(x + wide + 0.08, y, f"{wording.minutes(minutes)} min", size=12, color=BROWN)


def _draw_seen(sheet: Sheet, y: float, name: str, count: int) -> None:
    """Write what was seen, the number, and a dot for each time up to ten."""
    x = MARGIN + NAMES_WIDTH
    sheet.text(MARGIN, y, name, size=12, color=BROWN)
    sheet.text(x, y, str(count), size=12, color=BROWN)
    sheet.text(x + 0.35, y, "●" * min(count, 10), size=11, color=CLAY)
