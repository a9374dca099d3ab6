"""A picture of planned days: when the baby is awake, feeds, care moments, and each prompt by activity and side.

A prompt is a box with the number of its activity and the letter of its side, so that the picture needs no colour; the
fills (Okabe and Ito 2008, "Color Universal Design", from memory, lightened) only help the eye.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Any

from babel.dates import format_date

from bot.phrases import Words, words_for
from scheduling.plan import Plan
from scheduling.planner import DayPlan, Prompt

_FILLS = ("#F6CE7F", "#A9DAF4", "#7FCEB9", "#F7F1A0", "#7FB8D8", "#EAAE7F", "#E5BCD3", "#D9D9D9")
_INK = "#1A1A1A"
_AWAKE = "#ECECEC"
_LEGEND_COLUMNS = 4
_ROW, _KEY = 0.62, 0.2
"""Inches: the height of a day, and of a line of the legend."""


def draw_plan(
    plan: Plan, days: Sequence[DayPlan], language: str = "en", names: Mapping[str, str] | None = None
) -> bytes:
    """Return a PNG of the days, one row each. names: what to call an activity, by id; the id where it has none."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    words = words_for(language)
    rows, keys = _ROW * len(days), _KEY * (2 + (len(plan.activities) + 5) // _LEGEND_COLUMNS)
    height = rows + keys + 0.5
    figure = Figure(figsize=(11, height), dpi=110)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.09, (keys + 0.3) / height, 0.9, rows / height))
    first, last = _hours(plan, days)
    for row, day in enumerate(days):
        _draw_shape(axes, plan, row)
        _draw_prompts(axes, plan, day.prompts, row, (last - first) / 60, words)
    axes.set_xlim(first, last)
    axes.set_ylim(len(days) - 0.5, -0.5)
    hours = range(-(-first // 60), last // 60 + 1)
    step = 1 if len(hours) <= 16 else 2
    axes.set_xticks([hour * 60 for hour in hours[::step]], [f"{hour:02d}:00" for hour in hours[::step]])
    axes.set_yticks(
        range(len(days)),
        [format_date(day.date, words.plain("format.short_day"), locale=words.locale) for day in days],
    )
    axes.tick_params(length=0, colors=_INK, labelsize=9)
    axes.grid(axis="x", color="#D0D0D0", linewidth=0.5)
    axes.set_axisbelow(True)
    for spine in axes.spines.values():
        spine.set_visible(False)
    if not any(day.prompts for day in days):
        axes.set_title(words.plain("because.picture_none"), fontsize=10, color=_INK)
    _legend(axes, plan, words, names or {})
    stream = BytesIO()
    figure.savefig(stream, format="png", bbox_inches="tight", facecolor="white")
    return stream.getvalue()


def _hours(plan: Plan, days: Sequence[DayPlan]) -> tuple[int, int]:
    """Return the minutes of the wall clock from which and to which to draw, whole hours."""
    marks = [at for span in plan.awake for at in span] + list(plan.feeds)
    marks += [_minute(prompt) for day in days for prompt in day.prompts]
    return min(marks, default=420) // 60 * 60, min(1440, -(-max(marks, default=1200) // 60) * 60)


def _minute(prompt: Prompt) -> int:
    return prompt.at.hour * 60 + prompt.at.minute


def _draw_shape(axes: Any, plan: Plan, row: int) -> None:
    for start, end in plan.awake:
        axes.barh(row, end - start, left=start, height=0.8, color=_AWAKE, zorder=1)
    for start, end in _quiet_pieces(plan):
        axes.barh(
            row,
            end - start,
            left=start,
            height=0.8,
            fill=False,
            edgecolor="#B0B0B0",
            hatch="////",
            linewidth=0,
        )
    axes.plot(
        plan.feeds, [row + 0.34] * len(plan.feeds), "^", color=_INK, markersize=4, zorder=3, linestyle=""
    )
    moments = sorted({at for _, times in plan.moments for at in times})
    axes.plot(
        moments,
        [row - 0.34] * len(moments),
        "D",
        markerfacecolor="white",
        markeredgecolor=_INK,
        markersize=3.2,
        zorder=3,
    )


def _quiet_pieces(plan: Plan) -> list[tuple[int, int]]:
    if plan.quiet is None:
        return []
    start, end = plan.quiet
    return [(start, end)] if start < end else [(0, end), (start, 1440)]


def _draw_prompts(
    axes: Any, plan: Plan, prompts: Sequence[Prompt], row: int, hours: float, words: Words
) -> None:
    """Draw the boxes; one too near to the box before it stands half a step lower."""
    ids = [activity.activity for activity in plan.activities]
    room = 2.4 * hours
    lowered = False
    before = float("-inf")
    for prompt in prompts:
        at = _minute(prompt)
        lowered = at - before < room and not lowered
        before = at
        number = ids.index(prompt.activity)
        side = words.plain(f"because.picture_{prompt.side}") if prompt.side else ""
        axes.text(
            at + room / 8,
            row + (0.16 if lowered else -0.08),
            f"{number + 1}{side}",
            ha="left",
            va="center",
            fontsize=8.5,
            color=_INK,
            zorder=5,
            bbox={
                "boxstyle": "round,pad=0.25",
                "facecolor": _FILLS[number % len(_FILLS)],
                "edgecolor": _INK,
                "linewidth": 0.7,
            },
        )


def _legend(axes: Any, plan: Plan, words: Words, names: Mapping[str, str]) -> None:
    axes.figure.legend(
        handles=[*_activity_keys(plan, names), *_day_keys(plan, words)],
        loc="lower center",
        ncols=_LEGEND_COLUMNS,
        fontsize=8.5,
        frameon=False,
        labelcolor=_INK,
    )


def _activity_keys(plan: Plan, names: Mapping[str, str]) -> list[Any]:
    from matplotlib.patches import Patch

    return [
        Patch(
            facecolor=_FILLS[n % len(_FILLS)],
            edgecolor=_INK,
            linewidth=0.7,
            label=f"{n + 1}  {names.get(a.activity, a.activity)}",
        )
        for n, a in enumerate(plan.activities)
    ]


def _day_keys(plan: Plan, words: Words) -> list[Any]:
    """Return the keys of waking, quiet hours, feeds, moments and sides, of those that the plan has."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    def mark(name: str, **look: Any) -> Any:
        return Line2D([], [], linestyle="", label=words.plain(f"because.picture_{name}"), **look)

    keys = [Patch(facecolor=_AWAKE, label=words.plain("because.picture_awake"))]
    if plan.quiet:
        label = words.plain("because.picture_quiet")
        keys.append(Patch(facecolor="white", edgecolor="#B0B0B0", hatch="////", label=label))
    if plan.feeds:
        keys.append(mark("feed", marker="^", color=_INK, markersize=5))
    if any(times for _, times in plan.moments):
        keys.append(mark("moment", marker="D", markerfacecolor="white", color=_INK, markersize=4))
    if any(activity.side != "none" for activity in plan.activities):
        keys.append(mark("sides"))
    return keys
