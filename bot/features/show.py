"""What is said, as a value, and the one function that turns it into words and buttons.

Rules decide on contents and know no words; each feature's views register how its contents are shown.
"""

from __future__ import annotations

from functools import singledispatch

from bot.domain.outgoing import Buttons
from bot.features.content import Content
from bot.features.context import CarerContext

Shown = tuple[str, Buttons]


@singledispatch
def show(content: Content, ctx: CarerContext) -> Shown:
    """Return the message HTML and the buttons of a content, in the language of `ctx.carer`."""
    raise TypeError(f"no view shows {type(content).__name__}; register one in the feature's views")
