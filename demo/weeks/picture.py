"""The weeks as a picture: for each kind of family when reminders came, how the load went, and minutes against targets."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from demo.weeks.figures import Lived, weeks_of
from scheduling.plan import Plan

# Okabe and Ito 2008, "Color Universal Design", from memory; shapes and places say the same without colour.
FITS, ILL = "#0072B2", "#D55E00"
LEFT, RIGHT, NO_SIDE = "#56B4E9", "#E69F00", "#999999"
INK, QUIET_INK, AWAKE = "#1f2a33", "#6b7780", "#eef1f3"
ROW_INCHES = 1.75


def picture(plan: Plan, nickname: str, first: date, lived: Sequence[Lived]) -> bytes:
    """Return a PNG, one row a kind of family: reminders by day and hour, load by day, minutes of target by activity."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(
        figsize=(11, ROW_INCHES * len(lived) + 1.3), dpi=110, facecolor="white", layout="constrained"
    )
    FigureCanvasAgg(figure)
    figure.suptitle(
        f"{nickname}'s plan, lived for {weeks_of(lived[0].days // 7)} from {first:%-d %B %Y} by invented families",
        color=INK, fontsize=12, x=0.01, ha="left",
    )  # fmt: skip
    axes = figure.subplots(len(lived), 3, width_ratios=(5, 2, 3), squeeze=False)
    hours = _hours(plan, lived)
    for row, each in zip(axes, lived, strict=True):
        _draw_reminders(row[0], plan, first, each, hours)
        _draw_load(row[1], plan, each)
        _draw_minutes(row[2], each)
    for axis, title in zip(
        axes[0], ("When reminders came", "Most reminders a day", "Minutes, of target"), strict=True
    ):
        axis.set_title(title, fontsize=9, color=QUIET_INK, loc="left")
    _legend(figure)
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()


def _hours(plan: Plan, lived: Sequence[Lived]) -> tuple[int, int]:
    marks = [at for span in plan.awake for at in span] + [s.minute for each in lived for s in each.sent]
    return min(marks, default=420) // 60, -(-max(marks, default=1200) // 60)


def _plain(axis: Any) -> None:
    axis.tick_params(length=0, colors=INK, labelsize=7)
    for spine in axis.spines.values():
        spine.set_visible(False)


def _draw_reminders(axis: Any, plan: Plan, first: date, lived: Lived, hours: tuple[int, int]) -> None:
    for start, end in plan.awake:
        axis.axvspan(start / 60, end / 60, color=AWAKE, zorder=0)
    for fits, look in (
        (True, {"marker": "o", "color": FITS, "s": 11}),
        (False, {"marker": "x", "color": ILL, "s": 16, "linewidths": 1}),
    ):
        dots = [each for each in lived.sent if each.fits is fits]
        axis.scatter(
            [each.minute / 60 for each in dots],
            [(each.day - first).days + 1 for each in dots],
            zorder=2,
            **look,
        )
    axis.set_xlim(*hours)
    axis.set_ylim(lived.days + 0.5, 0.5)
    axis.set_xticks(
        range(hours[0], hours[1] + 1, 2), [f"{h:02d}:00" for h in range(hours[0], hours[1] + 1, 2)]
    )
    axis.set_yticks(range(1, lived.days + 1, 7), [f"day {day}" for day in range(1, lived.days + 1, 7)])
    share = "" if lived.ill_timed_share is None else f"\nill-timed {lived.ill_timed_share:.0%}"
    axis.set_ylabel(
        f"{lived.title}\n{lived.reminders_a_day:g} a day{share}",
        rotation=0, ha="right", va="center", fontsize=9, color=INK,
    )  # fmt: skip
    _plain(axis)


def _draw_load(axis: Any, plan: Plan, lived: Lived) -> None:
    days = range(1, len(lived.load) + 1)
    axis.step(days, lived.load, where="mid", color=INK, linewidth=1.4)
    axis.axhline(plan.most_prompts, color=QUIET_INK, linewidth=0.7, linestyle=":")
    axis.set_ylim(0, plan.most_prompts + 0.6)
    axis.set_yticks(sorted({0, 1, plan.most_prompts}))
    axis.set_xticks(range(1, lived.days + 1, 7))
    _plain(axis)


def _draw_minutes(axis: Any, lived: Lived) -> None:
    from bot.digest.canvas import clipped

    shown = [each for each in lived.activities if each.target]
    for place, each in enumerate(shown):
        left = 0.0
        for minutes, color in ((each.left, LEFT), (each.right, RIGHT), (each.unsided, NO_SIDE)):
            part = minutes / (each.target or 1)
            axis.barh(place, part, left=left, color=color, height=0.55)
            left += part
        axis.text(
            max(left, 0.0) + 0.02, place, f"{each.minutes:.0f} of {each.target:.0f}",
            va="center", fontsize=7, color=INK,
        )  # fmt: skip
    axis.axvline(1, color=INK, linewidth=0.8, linestyle=":")
    widest = max((each.minutes / each.target for each in shown if each.target), default=1)
    axis.set_xlim(0, max(1.0, widest) + 0.35)
    axis.set_ylim(len(shown) - 0.4, -0.6)
    axis.set_yticks(range(len(shown)), [clipped(each.name, 24) for each in shown])
    axis.set_xticks([0, 0.5, 1], ["0", "50 %", "100 %"])
    _plain(axis)


def _legend(figure: Any) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    keys = [
        Line2D(
            [], [], linestyle="", marker="o", color=FITS, markersize=4, label="came when the baby was awake"
        ),
        Line2D(
            [], [], linestyle="", marker="x", color=ILL, markersize=5, label="ill-timed: asleep or at a feed"
        ),
        Patch(color=AWAKE, label="awake as told"),
        Patch(color=LEFT, label="left"),
        Patch(color=RIGHT, label="right"),
        Patch(color=NO_SIDE, label="no side"),
    ]
    figure.legend(handles=keys, loc="outside lower left", ncols=6, fontsize=8, frameon=False, labelcolor=INK)
