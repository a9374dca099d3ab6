"""The process that draws, and signals that are meant for the bot."""

from __future__ import annotations

import os
import signal
from dataclasses import dataclass
from typing import cast

from bot.activities.library import Library, load_library
from bot.domain.outgoing import Drawn
from bot.features.routing.render_routes import Work
from bot.messenger.drawing import Drawer


@dataclass(frozen=True)
class Number:
    """Draws the number of the process that draws."""

    def draw(self, _library: Library) -> tuple[Drawn, ...]:
        return cast("tuple[Drawn, ...]", (os.getpid(),))


async def test_a_signal_to_the_whole_group_breaks_no_picture_off() -> None:
    drawer = Drawer(load_library())
    try:
        (first,) = cast("tuple[int]", await drawer.draw(cast(Work, Number())))
        for number in (signal.SIGTERM, signal.SIGINT):
            os.kill(first, number)
        (again,) = cast("tuple[int]", await drawer.draw(cast(Work, Number())))
    finally:
        drawer.close()

    assert first != os.getpid()
    assert again == first
