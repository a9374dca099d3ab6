"""The sheet that pictures are drawn on: a phone's width, measured in inches from the top left.

matplotlib draws, without its axes: laying out those took two thirds of the time, and a caseload is forty pictures.
It is slow to load, so it is loaded when a picture is drawn.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Literal

WIDTH_INCHES = 7.2
DOTS_PER_INCH = 150
"""1080 pixels wide, a usual phone's width."""

INK = "#1f2a33"
QUIET_INK = "#6b7780"
GRID = "#d9dee2"


class Sheet:
    """An empty sheet; height in inches. What is drawn later lies on top, lines above boxes, text above all."""

    def __init__(self, height: float, paper: str = "white") -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.height = height
        self.figure = Figure(figsize=(WIDTH_INCHES, height), dpi=DOTS_PER_INCH, facecolor=paper)
        FigureCanvasAgg(self.figure)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float,
        color: str = INK,
        bold: bool = False,
        align: Literal["left", "center", "right"] = "left",
        on: str | None = None,
    ) -> None:
        """Write a text of `size` points with its middle at height y. on: a colour to lay beneath it."""
        style: dict[str, Any] = {"size": size, "color": color, "weight": "bold" if bold else "normal"}
        if on:
            style["bbox"] = {"facecolor": on, "edgecolor": "none", "pad": 1.0}
        # A dollar sign is a dollar sign here, not the start of a formula.
        style["parse_math"] = False
        self.figure.text(x / WIDTH_INCHES, 1 - y / self.height, text, ha=align, va="center_baseline", **style)

    def box(self, x: float, y: float, width: float, height: float, **look: Any) -> None:
        """Draw a rectangle by its top left corner."""
        from matplotlib.patches import Rectangle

        corner = (x / WIDTH_INCHES, 1 - (y + height) / self.height)
        size = (width / WIDTH_INCHES, height / self.height)
        self.figure.add_artist(Rectangle(corner, *size, transform=self.figure.transFigure, **look))

    def rule(self, start: tuple[float, float], end: tuple[float, float], color: str, points: float) -> None:
        """Draw a straight line."""
        from matplotlib.lines import Line2D

        across = [start[0] / WIDTH_INCHES, end[0] / WIDTH_INCHES]
        down = [1 - start[1] / self.height, 1 - end[1] / self.height]
        self.figure.add_artist(Line2D(across, down, color=color, linewidth=points, solid_capstyle="butt"))

    def ring(self, x: float, y: float, color: str, paper: str) -> None:
        """Draw a small open circle."""
        from matplotlib.lines import Line2D

        place = ([x / WIDTH_INCHES], [1 - y / self.height])
        look: dict[str, Any] = {
            "marker": "o",
            "markersize": 7,
            "markerfacecolor": paper,
            "markeredgecolor": color,
        }
        self.figure.add_artist(Line2D(*place, **look))

    def png(self) -> bytes:
        out = io.BytesIO()
        # No program name in the file: the same week gives the same bytes.
        self.figure.savefig(out, format="png", metadata={"Software": None})
        return out.getvalue()


def clipped(name: str, most: int) -> str:
    """Return a name cut to so many characters, the cut shown."""
    return name if len(name) <= most else f"{name[: most - 1]}…"


def round_scale(most: float) -> tuple[float, ...]:
    """Return two or three round values from above 0 up to about `most`, for the lines of a scale."""
    from matplotlib.ticker import MaxNLocator

    values = MaxNLocator(nbins=3, integer=True).tick_values(0.0, most)
    return tuple(float(value) for value in values if 0 < value <= most)


def stacked(pictures: Sequence[bytes]) -> bytes:
    """Return pictures of one width as one, each below the one before."""
    from PIL import Image

    sheets = [Image.open(io.BytesIO(picture)).convert("RGB") for picture in pictures]
    whole = Image.new("RGB", (max(s.width for s in sheets), sum(s.height for s in sheets)), "white")
    top = 0
    for sheet in sheets:
        whole.paste(sheet, (0, top))
        top += sheet.height
    out = io.BytesIO()
    whole.save(out, format="png", optimize=True)
    return out.getvalue()
