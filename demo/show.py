"""The demo with its page: the address first, the week in the terminal, then the page until it is stopped."""

from __future__ import annotations

import asyncio
import os
import sys
import webbrowser
from pathlib import Path

from rich.console import Console

from demo.page.serve import serving
from demo.play import play


async def show(folder: Path, *, pace: float, quiet: bool, whole: bool, port: int) -> None:
    """Serve the page until interrupted, and play the week in the terminal meanwhile.

    Raises:
        OSError: the port is taken.
        WorldProblem: the folder cannot be written.
    """
    console = Console(highlight=False)
    async with serving(port) as address:
        console.print(f"[bold]The page of this week:[/bold] {address}")
        console.print("It is served on this machine alone, until you press Ctrl-C.\n")
        if has_desktop():
            await asyncio.to_thread(webbrowser.open, address)
        await play(folder, pace=pace, quiet=quiet, whole=whole, console=console)
        console.print(f"\nThe page goes on: {address} (Ctrl-C stops it)")
        await asyncio.Event().wait()


def has_desktop() -> bool:
    """Say whether there is a desktop on which a page can be opened."""
    return sys.platform in ("darwin", "win32") or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )
