"""Pictures of the week as PNG, for the therapist: one family's, and the whole caseload's.

They hold in grey: sides differ by lightness and hatching as well as by colour, and days without word are hatched,
never empty. No score, and no mark that blames.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

from bot.digest.activity_figures import ActivityFigures, DayMinutes, DayState
from bot.digest.canvas import GRID, INK, QUIET_INK, WIDTH_INCHES, Sheet, clipped, round_scale
from bot.digest.caseload import shown_names
from bot.digest.figures import FamilyDigest
from bot.digest.glyphs import drawable
from bot.digest.lines import done_of_asked, sides_told
from bot.digest.ranking import Ranked
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

# Blue and orange of Okabe and Ito's colour-blind safe set (2008), made darker and lighter so that they differ in grey.
PART_LOOK: dict[str, dict[str, Any]] = {
    "left": {"facecolor": "#0b5c8f", "edgecolor": INK, "linewidth": 0.6},
    "right": {"facecolor": "#f0b35a", "edgecolor": INK, "linewidth": 0.6, "hatch": "////"},
    "unsided": {"facecolor": "#9aa7b0", "edgecolor": INK, "linewidth": 0.6},
}
STATE_LOOK: dict[DayState, dict[str, Any]] = {
    "silent": {"facecolor": "#f1f3f4", "edgecolor": "#b3bcc3", "hatch": "xxx", "linewidth": 0.0},
    "paused": {"facecolor": "#f1f3f4", "linewidth": 0.0},
    "no_plan": {"facecolor": "#f1f3f4", "linewidth": 0.0},
    "to_come": {"facecolor": "#f1f3f4", "linewidth": 0.0},
}

LEFT, RIGHT = 0.55, WIDTH_INCHES - 0.2
"""The edges of the plots, in inches."""
HEAD, ROW, PLOT, FOOT = 1.15, 1.18, 0.74, 0.6
BAR_SHARE = 0.62
"""Of a day's width."""
LEGEND_LINE = 0.2
MOST_NAMED_DAYS = 10
NARROW_DAY = 0.3
"""Inches of a day's width under which no number fits beside its neighbours'."""


def week_picture(digest: FamilyDigest, words: Words, name_of: NameOf) -> bytes:
    """Return a PNG of one family's minutes by day, a row an activity, sides apart, beside what the plan asks."""
    wording = wording_for(digest, words, name_of)
    rows = digest.activities
    legend = _legend_places(digest, words)
    head = HEAD + LEGEND_LINE * legend[-1].line
    sheet = Sheet(head + ROW * max(1, len(rows)) + FOOT)
    title = words.plain("digest.chart_title", nickname=clipped(digest.nickname, 28))
    sheet.text(0.3, 0.32, drawable(title), size=17, bold=True)
    known = f"{wording.period(digest)} · {wording.days(digest)}"
    # Some languages need more room to say how much is known.
    sheet.text(0.3, 0.63, drawable(known), size=min(10.5, 10.5 * 84 / len(known)), color=QUIET_INK)
    _draw_legend(sheet, legend)
    for index, figures in enumerate(rows):
        _draw_activity(sheet, head + ROW * index, figures, wording)
    if not rows:
        sheet.text(0.3, head + ROW / 2, words.plain("digest.chart_nothing"), size=12)
    _draw_days(sheet, [day for day, _ in digest.days], wording)
    return sheet.png()


def _draw_days(sheet: Sheet, days: Sequence[date], wording: Wording) -> None:
    """Name the days below the plots; of a long time only its Mondays, so that no two names overlap."""
    width, top = _day_width(len(days)), sheet.height - FOOT
    if len(days) <= MOST_NAMED_DAYS:
        for place, day in enumerate(days):
            middle = _day_left(place, len(days)) + width / 2
            sheet.text(middle, top + 0.14, wording.weekday(day), size=10, align="center")
            sheet.text(middle, top + 0.32, str(day.day), size=10, align="center")
        return
    mondays = [place for place, day in enumerate(days) if day.weekday() == 0]
    every = max(1, -(-len(mondays) // MOST_NAMED_DAYS))
    for place in mondays[::every]:
        left = _day_left(place, len(days))
        sheet.rule((left, top - 0.02), (left, top + 0.06), QUIET_INK, 0.8)
        sheet.text(left, top + 0.16, wording.short_day(days[place]), size=9, align="center")


def _day_width(days: int) -> float:
    return (RIGHT - LEFT) / days


def _day_left(place: int, days: int) -> float:
    return LEFT + place * _day_width(days)


def _draw_activity(sheet: Sheet, top: float, figures: ActivityFigures, wording: Wording) -> None:
    """Draw one row: its title, the scale, and each day's bar, from `top` inches on."""
    title = f"{wording.name_of(figures.activity)}: {done_of_asked(figures, wording)}"
    if any(figures.by_side) and figures.wants_sides:
        title += f" ({sides_told(figures, wording)})"
    sheet.text(LEFT, top + 0.14, drawable(title), size=11)
    base = top + ROW - 0.14
    most = max([1.0, *(max(day.minutes or 0.0, day.target or 0.0) for day in figures.bars)]) * 1.08
    scale = PLOT / most
    bars = figures.bars
    count = len(bars)
    for place, day in enumerate(bars):
        if day.state != "word":
            sheet.box(_day_left(place, count), base - PLOT, _day_width(count), PLOT, **STATE_LOOK[day.state])
    for value in round_scale(most):
        sheet.box(LEFT, base - value * scale, RIGHT - LEFT, 0.004, facecolor=GRID, linewidth=0.0)
        sheet.text(
            LEFT - 0.07, base - value * scale, wording.minutes(value), size=9, color=QUIET_INK, align="right"
        )
    for place, day in enumerate(bars):
        _draw_day(sheet, _day_left(place, count), base, scale, day, _day_width(count))
    sheet.rule((LEFT, base), (RIGHT, base), QUIET_INK, 0.8)


def _draw_day(sheet: Sheet, x: float, base: float, scale: float, day: DayMinutes, width: float) -> None:
    """Draw one day's stacked bar and the mark of what was asked. scale: inches a minute."""
    top = base
    for part, minutes in (("left", day.left), ("right", day.right), ("unsided", day.unsided)):
        if minutes:
            top -= minutes * scale
            bar = width * BAR_SHARE
            sheet.box(x + (width - bar) / 2, top, bar, minutes * scale, **PART_LOOK[part])
    if day.minutes == 0 and width > NARROW_DAY:
        sheet.text(x + width / 2, base - 0.09, "0", size=8, color=QUIET_INK, align="center")
    if day.target is not None:
        y = base - day.target * scale
        # White beneath, so that the mark shows on a dark bar too.
        for color, points in (("white", 3.4), (INK, 1.5)):
            sheet.rule((x + width * 0.08, y), (x + width * 0.92, y), color, points)


class _LegendPlace(NamedTuple):
    """Where one look is named: x in inches, line from 0. look: None for the mark of what was asked."""

    x: float
    line: int
    label: str
    look: dict[str, Any] | None


def _legend_places(digest: FamilyDigest, words: Words) -> list[_LegendPlace]:
    """Lay out the looks that this picture may hold; a further line where one is too short."""
    states = {state for _, state in digest.days}
    looks: list[tuple[str, dict[str, Any] | None]] = [
        (words.plain("digest.side_left"), PART_LOOK["left"]),
        (words.plain("digest.side_right"), PART_LOOK["right"]),
        (words.plain("digest.side_none"), PART_LOOK["unsided"]),
        (words.plain("digest.chart_asked"), None),
        *(
            (words.plain(f"digest.chart_{state}"), look)
            for state, look in STATE_LOOK.items()
            if state in states
        ),
    ]
    places: list[_LegendPlace] = []
    x, line = 0.3, 0
    for label, look in looks:
        width = 0.31 + 0.078 * len(label)
        if x + width > WIDTH_INCHES:
            x, line = 0.3, line + 1
        places.append(_LegendPlace(x, line, label, look))
        x += width + 0.2
    return places


def _draw_legend(sheet: Sheet, places: Sequence[_LegendPlace]) -> None:
    for x, line, label, look in places:
        y = 0.94 + LEGEND_LINE * line
        if look:
            sheet.box(x, y - 0.06, 0.24, 0.12, **look)
        else:
            sheet.rule((x, y), (x + 0.24, y), INK, 1.5)
        sheet.text(x + 0.31, y, label, size=9.5)


FAMILY_ROW = 0.34
BARS_LEFT, WHOLE_WIDTH = 1.75, 2.55
"""Where the caseload's bars begin, and how wide 100 % is, in inches."""
MOST_SHOWN = 1.3
STRIP_LEFT, STRIP_WIDTH = 5.55, 1.45


def caseload_picture(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> bytes:
    """Return a PNG of all families in the order of need: minutes of those asked, and days with word."""
    names = shown_names(ranking)
    bottom = 1.1 + FAMILY_ROW * max(1, len(ranking))
    sheet = Sheet(bottom + 0.45)
    sheet.text(0.3, 0.36, words.plain("digest.caseload_chart"), size=16, bold=True)
    sheet.text(BARS_LEFT, 0.85, words.plain("digest.caseload_minutes"), size=9.5, color=QUIET_INK)
    sheet.text(STRIP_LEFT, 0.85, words.plain("digest.caseload_word"), size=9.5, color=QUIET_INK)
    for place, one in enumerate(ranking):
        middle = 1.1 + FAMILY_ROW * (place + 0.5)
        label = drawable(f"{place + 1}. {clipped(names[one.family], 16)}")
        sheet.text(BARS_LEFT - 0.1, middle, label, size=10, align="right")
        _draw_share(sheet, middle, one.digest, wording_for(one.digest, words, name_of))
        _draw_family_days(sheet, middle, one.digest)
    for share in (0.0, 0.5, 1.0):
        x = BARS_LEFT + share * WHOLE_WIDTH
        sheet.text(x, bottom + 0.15, f"{share:.0%}", size=9, color=QUIET_INK, align="center")
    sheet.rule((BARS_LEFT, 1.05), (BARS_LEFT, bottom), QUIET_INK, 0.8)
    sheet.rule((BARS_LEFT + WHOLE_WIDTH, 1.05), (BARS_LEFT + WHOLE_WIDTH, bottom), INK, 1.2)
    return sheet.png()


def _draw_share(sheet: Sheet, middle: float, digest: FamilyDigest, wording: Wording) -> None:
    share = digest.share_of_asked
    if share is None:
        sheet.box(BARS_LEFT, middle - 0.1, WHOLE_WIDTH, 0.2, **STATE_LOOK["silent"])
        unknown = wording.words.plain("digest.unknown")
        sheet.text(BARS_LEFT + WHOLE_WIDTH / 2, middle, unknown, size=9, align="center", on="white")
        return
    width = min(share, MOST_SHOWN) * WHOLE_WIDTH
    sheet.box(BARS_LEFT, middle - 0.1, width, 0.2, **PART_LOOK["unsided"])
    sheet.text(BARS_LEFT + width + 0.05, middle, wording.share(share), size=9, on="white")


def _draw_family_days(sheet: Sheet, middle: float, digest: FamilyDigest) -> None:
    step = STRIP_WIDTH / max(7, len(digest.days))
    for place, (_, state) in enumerate(digest.days):
        look: dict[str, Any] = {"facecolor": "#f1f3f4", "linewidth": 0.0}
        if state == "word":
            look = {"facecolor": "#33444f", "linewidth": 0.0}
        elif state == "silent":
            look = {"facecolor": "white", "edgecolor": "#8a959d", "hatch": "xxxx", "linewidth": 0.6}
        sheet.box(STRIP_LEFT + place * step, middle - 0.09, step * 0.8, 0.18, **look)
