"""Pictures of the week as PNG, for the therapist: one family's, and the whole caseload's.

They hold in grey: sides differ by lightness and hatching as well as by colour, and days without word are hatched,
never empty. No score, and no mark that blames.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from bot.digest.canvas import GRID, INK, QUIET_INK, blank, clipped, png
from bot.digest.figures import ActivityFigures, DayState, FamilyDigest
from bot.digest.glyphs import drawable
from bot.digest.ranking import Ranked
from bot.digest.text import shown_names
from bot.digest.wording import NameOf, Wording, wording_for
from bot.phrases import Words

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Blue, orange and grey of Okabe and Ito's colour-blind safe set (2008), from dark to light: they differ in grey too.
SIDE_LOOK: dict[str, dict[str, Any]] = {
    "left": {"facecolor": "#0b5c8f", "edgecolor": INK},
    "right": {"facecolor": "#f0b35a", "edgecolor": INK, "hatch": "////"},
    "unsided": {"facecolor": "#9aa7b0", "edgecolor": INK},
}
SILENT_LOOK: dict[str, Any] = {
    "facecolor": "#f1f3f4",
    "edgecolor": "#b3bcc3",
    "hatch": "xxx",
    "linewidth": 0.0,
}
BAR_WIDTH = 0.62
LABEL_BOX = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}


def week_picture(digest: FamilyDigest, words: Words, name_of: NameOf) -> bytes:
    """Return a PNG of one family's minutes by day, a row an activity, sides apart, beside what the plan asks."""
    wording = wording_for(digest, words, name_of)
    rows = digest.activities
    figure, axes = _figure(rows=max(1, len(rows)), row_inches=1.15, head_inches=1.08)
    figure.text(
        0.04, 1 - 0.32 / figure.get_figheight(), _title(digest, words), size=17, weight="bold", color=INK
    )
    figure.text(
        0.04,
        1 - 0.62 / figure.get_figheight(),
        drawable(f"{wording.period(digest)} · {wording.days(digest)}"),
        size=10.5,
        color=QUIET_INK,
    )
    dates = [day for day, _ in digest.days]
    for index, figures in enumerate(rows):
        _draw_activity(axes[index], figures, wording)
    if rows:
        _legend(figure, digest, words)
    else:
        axes[0].text(0.5, 0.5, words.plain("digest.chart_nothing"), ha="center", va="center", color=INK)
        _day_bands(axes[0], [state for _, state in digest.days])
    for ax in axes[:-1]:
        ax.set_xticks(range(len(dates)), [""] * len(dates))
    _day_labels(axes[-1], dates, wording)
    return png(figure)


def caseload_picture(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> bytes:
    """Return a PNG of all families in the order of need: minutes of those asked, and days with word."""
    names = shown_names(ranking)
    row_inches = 0.34
    height = 1.2 + row_inches * max(1, len(ranking))
    figure = blank(height)
    figure.text(
        0.04, 1 - 0.38 / height, words.plain("digest.caseload_chart"), size=16, weight="bold", color=INK
    )
    ax = figure.add_axes((0.24, 0.45 / height, 0.47, row_inches * max(1, len(ranking)) / height))
    strip = figure.add_axes((0.75, 0.45 / height, 0.21, row_inches * max(1, len(ranking)) / height))
    for place, one in enumerate(ranking):
        _draw_family_bar(ax, place, one.digest, words)
        _draw_family_days(strip, place, one.digest)
    labels = [drawable(f"{place}. {clipped(names[one.family], 18)}") for place, one in enumerate(ranking, 1)]
    ax.set_yticks(range(len(ranking)), labels, size=10)
    ax.set_xlim(0, 1.45)
    ax.tick_params(length=0)
    for spine in ("top", "right", "bottom"):
        ax.spines[spine].set_visible(False)
    ax.set_xticks([0, 0.5, 1.0], ["0%", "50%", "100%"], size=9, color=QUIET_INK)
    ax.axvline(1.0, color=INK, linewidth=1.2, linestyle=(0, (4, 2)), zorder=3)
    ax.set_title(words.plain("digest.caseload_minutes"), size=9.5, color=QUIET_INK, loc="left")
    strip.set_title(words.plain("digest.caseload_word"), size=9.5, color=QUIET_INK, loc="left")
    longest = max((len(one.digest.days) for one in ranking), default=7)
    strip.set_xlim(-0.5, max(7, longest) - 0.5)
    strip.set_axis_off()
    for each in (ax, strip):
        each.set_ylim(max(1, len(ranking)) - 0.5, -0.5)
    return png(figure)


def _draw_activity(ax: Axes, figures: ActivityFigures, wording: Wording) -> None:
    from bot.digest.lines import done_of_asked, sides_told

    states = [day.state for day in figures.days]
    places = range(len(states))
    base = [0.0] * len(states)
    parts = {
        "left": [day.left or 0.0 for day in figures.days],
        "right": [day.right or 0.0 for day in figures.days],
        "unsided": [day.unsided or 0.0 for day in figures.days],
    }
    for part, heights in parts.items():
        if any(heights):
            ax.bar(places, heights, BAR_WIDTH, bottom=base, linewidth=0.6, zorder=2, **SIDE_LOOK[part])
            base = [below + height for below, height in zip(base, heights, strict=True)]
    for place, day in enumerate(figures.days):
        if day.target is not None:
            ends = (place - 0.42, place + 0.42)
            # White beneath, so that the mark shows on a dark bar too.
            for color, linewidth in (("white", 3.6), (INK, 1.6)):
                asked = (day.target, day.target)
                ax.plot(ends, asked, color=color, linewidth=linewidth, zorder=3, solid_capstyle="butt")
        if day.state == "word" and not day.minutes:
            ax.text(place, 0, "0", ha="center", va="bottom", size=8, color=QUIET_INK)
    top = max([*base, *(day.target or 0.0 for day in figures.days), 1.0]) * 1.12
    ax.set_ylim(0, top)
    _day_bands(ax, states)
    title = f"{wording.name_of(figures.activity)}: {done_of_asked(figures, wording)}"
    if figures.minutes is not None and figures.wants_sides:
        title += f" ({sides_told(figures, wording)})"
    ax.set_title(drawable(title), size=11, color=INK, loc="left", pad=4)
    ax.yaxis.set_major_locator(_few_ticks())


def _few_ticks() -> Any:
    from matplotlib.ticker import MaxNLocator

    return MaxNLocator(nbins=3, integer=True)


def _day_bands(ax: Axes, states: Sequence[DayState]) -> None:
    """Hatch days without word, leave others white; days that could not have word are pale and plain."""
    for place, state in enumerate(states):
        if state == "silent":
            ax.axvspan(place - 0.5, place + 0.5, zorder=0, **SILENT_LOOK)
        elif state != "word":
            ax.axvspan(place - 0.5, place + 0.5, facecolor="#f1f3f4", linewidth=0, zorder=0)
    ax.set_xlim(-0.5, len(states) - 0.5)


def _draw_family_bar(ax: Axes, place: int, digest: FamilyDigest, words: Words) -> None:
    done = sum(a.minutes or 0.0 for a in digest.activities if a.known_target)
    asked = sum(a.known_target or 0.0 for a in digest.activities)
    if not asked:
        ax.barh(place, 1.0, 0.6, zorder=1, **SILENT_LOOK)
        ax.text(
            0.5,
            place,
            words.plain("digest.unknown"),
            ha="center",
            va="center",
            size=9,
            color=INK,
            bbox=LABEL_BOX,
        )
        return
    share = done / asked
    ax.barh(place, min(share, 1.3), 0.6, zorder=2, linewidth=0.5, **SIDE_LOOK["unsided"])
    ax.text(
        min(share, 1.3) + 0.015,
        place,
        f"{share:.0%}",
        va="center",
        size=9,
        color=INK,
        zorder=4,
        bbox=LABEL_BOX,
    )


def _draw_family_days(ax: Axes, place: int, digest: FamilyDigest) -> None:
    from matplotlib.patches import Rectangle

    for index, (_, state) in enumerate(digest.days):
        look: dict[str, Any] = {"facecolor": "#f1f3f4", "edgecolor": "#f1f3f4"}
        if state == "word":
            look = {"facecolor": "#33444f", "edgecolor": "#33444f"}
        elif state == "silent":
            look = {"facecolor": "white", "edgecolor": "#8a959d", "hatch": "xxxx"}
        ax.add_patch(Rectangle((index - 0.38, place - 0.3), 0.76, 0.6, linewidth=0.6, **look))


def _legend(figure: Figure, digest: FamilyDigest, words: Words) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    handles: list[Any] = [
        Patch(label=words.plain("digest.side_left"), **SIDE_LOOK["left"]),
        Patch(label=words.plain("digest.side_right"), **SIDE_LOOK["right"]),
        Patch(label=words.plain("digest.side_none"), **SIDE_LOOK["unsided"]),
        Line2D([], [], color=INK, linewidth=1.6, label=words.plain("digest.chart_asked")),
    ]
    states = {state for _, state in digest.days}
    if "silent" in states:
        handles.append(Patch(label=words.plain("digest.chart_silent"), **SILENT_LOOK))
    handles += [
        Patch(label=words.plain(f"digest.chart_{state}"), facecolor="#f1f3f4", edgecolor="#d9dee2")
        for state in ("paused", "to_come", "no_plan")
        if state in states
    ]
    height = figure.get_figheight()
    legend = figure.legend(
        handles=handles,
        loc="upper left",
        bbox_to_anchor=(0.03, 1 - 0.68 / height),
        ncols=5,
        frameon=False,
        fontsize=9.5,
        handlelength=1.6,
        columnspacing=1.1,
        labelcolor=INK,
    )
    legend.set_in_layout(False)


def _title(digest: FamilyDigest, words: Words) -> str:
    return drawable(words.plain("digest.chart_title", nickname=clipped(digest.nickname, 28)))


def _day_labels(ax: Axes, dates: Sequence[date], wording: Wording) -> None:
    labels = [f"{wording.weekday(day)}\n{day.day}" for day in dates]
    ax.set_xticks(range(len(dates)), labels, size=10, color=INK)


def _figure(*, rows: int, row_inches: float, head_inches: float) -> tuple[Figure, list[Axes]]:
    """Return a figure with one wide plot a row, under room for a heading. Inches."""
    foot_inches = 0.55
    height = head_inches + rows * row_inches + foot_inches
    figure = blank(height)
    axes = []
    for row in range(rows):
        bottom = foot_inches + (rows - 1 - row) * row_inches
        ax = figure.add_axes((0.085, bottom / height, 0.885, (row_inches - 0.42) / height))
        ax.set_axisbelow(True)
        ax.grid(axis="y", color=GRID, linewidth=0.6)
        ax.tick_params(length=0, labelsize=9, labelcolor=QUIET_INK)
        for spine in ("top", "right", "left"):
            ax.spines[spine].set_visible(False)
        ax.spines["bottom"].set_color(QUIET_INK)
        axes.append(ax)
    return figure, axes
