"""The weeks as a picture: for each kind of family when reminders came, how the load went, and minutes against targets."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from babel.dates import format_date

from bot.digest.canvas import INK, QUIET_INK, clipped
from bot.phrases import Words
from bot.rehearsal.figures import Lived
from scheduling.plan import Plan

# Okabe and Ito 2008, "Color Universal Design", from memory; shapes and places say the same without colour.
FITS, ILL = "#0072B2", "#D55E00"
LEFT, RIGHT, NO_SIDE = "#56B4E9", "#E69F00", "#999999"
AWAKE = "#eef1f3"
ROW_INCHES = 1.75


def picture(plan: Plan, nickname: str, first: date, lived: Sequence[Lived], words: Words) -> bytes:
    """Return a PNG, one row a kind of family: reminders by day and hour, load by day, minutes of target by activity."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(
        figsize=(10, ROW_INCHES * len(lived) + 1.4), dpi=120, facecolor="white", layout="constrained"
    )
    FigureCanvasAgg(figure)
    day = format_date(first, words.plain("format.date"), locale=words.locale)
    title = words.plain("trying.title", nickname=nickname, n=lived[0].days // 7, day=day)
    figure.suptitle(title, color=INK, fontsize=12, x=0.01, ha="left", parse_math=False)
    axes = figure.subplots(len(lived), 3, width_ratios=(5, 2, 3), squeeze=False)
    hours = _hours(plan, lived)
    for row, each in zip(axes, lived, strict=True):
        _draw_reminders(row[0], plan, first, each, hours, words)
        _draw_load(row[1], plan, each)
        _draw_minutes(row[2], each, words)
    for axis, key in zip(axes[0], ("when", "load", "minutes"), strict=True):
        axis.set_title(words.plain(f"trying.heading_{key}"), fontsize=9, color=QUIET_INK, loc="left")
    _legend(figure, words)
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


def _draw_reminders(
    axis: Any, plan: Plan, first: date, lived: Lived, hours: tuple[int, int], words: Words
) -> None:
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
    axis.set_yticks(
        range(1, lived.days + 1, 7), [words.plain("trying.day", n=day) for day in range(1, lived.days + 1, 7)]
    )
    axis.set_ylabel(
        "\n".join(_label(lived, words)), rotation=0, ha="right", va="center", fontsize=9, color=INK
    )
    _plain(axis)


def _label(lived: Lived, words: Words) -> list[str]:
    lines = [lived.title, words.plain("trying.a_day", n=f"{lived.reminders_a_day:g}")]
    if lived.ill_timed_share is not None:
        lines.append(words.plain("trying.ill_timed", percent=round(lived.ill_timed_share * 100)))
    return lines


def _draw_load(axis: Any, plan: Plan, lived: Lived) -> None:
    days = range(1, len(lived.load) + 1)
    axis.step(days, lived.load, where="mid", color=INK, linewidth=1.4)
    axis.axhline(plan.most_prompts, color=QUIET_INK, linewidth=0.7, linestyle=":")
    axis.set_ylim(0, plan.most_prompts + 0.6)
    axis.set_yticks(sorted({1, plan.most_prompts}))
    axis.set_xticks(range(1, lived.days + 1, 7))
    _plain(axis)


def _draw_minutes(axis: Any, lived: Lived, words: Words) -> None:
    shown = [each for each in lived.activities if each.target]
    for place, each in enumerate(shown):
        left = 0.0
        for minutes, color in ((each.left, LEFT), (each.right, RIGHT), (each.unsided, NO_SIDE)):
            part = minutes / (each.target or 1)
            axis.barh(place, part, left=left, color=color, height=0.55)
            left += part
        axis.text(
            max(left, 1.0) + 0.04, place, words.plain("trying.of", n=round(each.minutes), target=round(each.target or 0)),
            va="center", fontsize=7, color=INK,
        )  # fmt: skip
    axis.axvline(1, color=INK, linewidth=0.8, linestyle=":")
    widest = max((each.minutes / each.target for each in shown if each.target), default=1)
    axis.set_xlim(0, max(1.0, widest) + 0.5)
    axis.set_ylim(len(shown) - 0.4, -0.6)
    axis.set_yticks(range(len(shown)), [clipped(each.name, 24) for each in shown])
    axis.set_xticks([0, 0.5, 1], ["0", "50 %", "100 %"])
    _plain(axis)


def _legend(figure: Any, words: Words) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    dots: tuple[tuple[str, str, str], ...] = (("o", FITS, "fits"), ("x", ILL, "ill"))
    patches = ((AWAKE, "awake"), (LEFT, "left"), (RIGHT, "right"), (NO_SIDE, "no_side"))
    keys = [
        *(
            Line2D(
                [], [], linestyle="", marker=marker, color=color, markersize=5,
                label=words.plain(f"trying.key_{key}"),
            )
            for marker, color, key in dots
        ),
        *(Patch(color=color, label=words.plain(f"trying.key_{key}")) for color, key in patches),
    ]  # fmt: skip
    figure.legend(handles=keys, loc="outside lower left", ncols=3, fontsize=8, frameon=False, labelcolor=INK)
