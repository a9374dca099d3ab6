"""The family's own week as a PNG: what they did together and what they saw.

The same figures as the therapist's, told warmly: no target, no share, no comparison. A day without word is an open
dot, since nothing is known of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from bot.digest.canvas import blank, clipped, png
from bot.digest.figures import FamilyDigest
from bot.digest.glyphs import drawable
from bot.digest.lines import TOLERANCE
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAPER = "#fff8ee"
BROWN = "#4a3728"
SOFT_BROWN = "#8b7463"
HONEY = "#f2a541"
CLAY = "#c8683f"

DAYS_INCHES = 2.3
EMPTY_DAYS_INCHES = 0.7
ROW_INCHES = 0.42
MOST_SEEN = 6


def family_week_picture(digest: FamilyDigest, words: Words, name_of: NameOf) -> bytes:
    """Return the picture that the carers get: minutes by day and by activity, and what they saw."""
    wording = wording_for(digest, words, name_of)
    done = sorted((a for a in digest.activities if a.minutes), key=lambda a: -(a.minutes or 0.0))
    seen = [o for o in digest.observations if o.count and o.kind not in TOLERANCE][:MOST_SEEN]
    rows = len(done) + (len(seen) + 1 if seen else 0)
    days_inches = DAYS_INCHES if done else EMPTY_DAYS_INCHES
    height = 1.5 + days_inches + 0.75 + rows * ROW_INCHES + 0.2
    figure = blank(height, PAPER)
    _heading(figure, digest, wording, sum(a.minutes or 0.0 for a in done))
    top = height - 1.35
    ax = figure.add_axes((0.06, (top - days_inches) / height, 0.88, (days_inches - 0.3) / height))
    _draw_days(ax, digest, wording)
    top -= days_inches + 0.7
    most = max((a.minutes or 0.0 for a in done), default=1.0)
    for figures in done:
        _row(figure, top, wording.name_of(figures.activity), figures.minutes or 0.0, most, wording)
        top -= ROW_INCHES
    if seen:
        top -= 0.15
        figure.text(
            0.06,
            top / height,
            words.plain("digest.own_seen"),
            size=13,
            weight="bold",
            color=BROWN,
            va="center",
        )
        for observed in seen:
            top -= ROW_INCHES
            _seen_row(figure, top, wording.seen_kind(observed), observed.count or 0)
    return png(figure)


def _heading(figure: Figure, digest: FamilyDigest, wording: Wording, minutes: float) -> None:
    say, height = wording.words.plain, figure.get_figheight()
    title = drawable(say("digest.own_title", nickname=clipped(digest.nickname, 24)))
    figure.text(0.06, 1 - 0.5 / height, title, size=22, weight="bold", color=BROWN)
    days = len({s.date for a in digest.activities for s in a.entries})
    if days:
        told = f"{say('digest.own_total', n=round(minutes))} {say('digest.own_days', n=days)}"
    else:
        told = say("digest.own_nothing")
    figure.text(0.06, 1 - 0.85 / height, told, size=14, color=CLAY, weight="bold")
    span = say("digest.period", from_=wording.short_day(digest.from_), to=wording.short_day(digest.to))
    figure.text(0.06, 1 - 1.12 / height, span, size=11, color=SOFT_BROWN)


def _draw_days(ax: Axes, digest: FamilyDigest, wording: Wording) -> None:
    """Draw one rounded bar a day with its minutes above; an open dot where nothing is known or was done."""
    from matplotlib.patches import FancyBboxPatch

    by_day = [
        sum(entry.minutes or 0.0 for a in digest.activities for entry in a.entries if entry.date == day)
        for day, _ in digest.days
    ]
    most = max([*by_day, 1.0])
    for place, minutes in enumerate(by_day):
        if minutes:
            tall = max(minutes / most, 0.06)
            shape = "round,pad=0,rounding_size=0.05"
            ax.add_patch(
                FancyBboxPatch(
                    (place - 0.27, 0), 0.54, tall, boxstyle=shape, mutation_aspect=0.5, color=HONEY
                )
            )
            ax.text(
                place, tall + 0.03, wording.minutes(minutes), ha="center", va="bottom", size=11, color=BROWN
            )
        else:
            ax.plot(
                place,
                0.1 if most > 1 else 0.5,
                "o",
                markersize=7,
                markerfacecolor=PAPER,
                markeredgecolor=SOFT_BROWN,
            )
    ax.set_xlim(-0.5, len(by_day) - 0.5)
    ax.set_ylim(0, 1.18)
    labels = [f"{wording.weekday(day)}\n{day.day}" for day, _ in digest.days]
    ax.set_xticks(range(len(labels)), labels, size=11, color=BROWN)
    ax.set_yticks([])
    ax.tick_params(length=0)
    ax.patch.set_alpha(0)
    for spine in ("top", "right", "left"):
        ax.spines[spine].set_visible(False)
    ax.spines["bottom"].set_color(SOFT_BROWN)


def _row(figure: Figure, top: float, name: str, minutes: float, most: float, wording: Wording) -> None:
    from matplotlib.patches import Rectangle

    height = figure.get_figheight()
    figure.text(0.06, top / height, drawable(clipped(name, 26)), size=12, color=BROWN, va="center")
    wide = 0.42 * minutes / most
    bar = Rectangle(
        (0.42, (top - 0.11) / height), wide, 0.22 / height, color=HONEY, transform=figure.transFigure
    )
    figure.add_artist(bar)
    figure.text(
        0.43 + wide, top / height, f"{wording.minutes(minutes)} min", size=12, color=BROWN, va="center"
    )


def _seen_row(figure: Figure, top: float, name: str, count: int) -> None:
    """Write what was seen, the number, and a dot for each time up to ten."""
    height = figure.get_figheight()
    figure.text(0.06, top / height, name, size=12, color=BROWN, va="center")
    figure.text(0.42, top / height, str(count), size=12, color=BROWN, va="center")
    figure.text(0.47, top / height, "●" * min(count, 10), size=11, color=CLAY, va="center")
