"""The paper that pictures are drawn on. matplotlib is slow to load, so it is loaded when a picture is drawn."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH_INCHES = 7.2
DOTS_PER_INCH = 150
"""1080 pixels wide, a usual phone's width."""

INK = "#1f2a33"
QUIET_INK = "#6b7780"
GRID = "#d9dee2"


def blank(height: float, color: str = "white") -> Figure:
    """Return an empty figure as wide as a phone; height in inches."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH_INCHES, height), dpi=DOTS_PER_INCH, facecolor=color)
    FigureCanvasAgg(figure)
    return figure


def clipped(name: str, most: int) -> str:
    return name if len(name) <= most else f"{name[: most - 1]}…"


def png(figure: Figure) -> bytes:
    out = io.BytesIO()
    # No date or version in the file: the same week gives the same bytes.
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()
