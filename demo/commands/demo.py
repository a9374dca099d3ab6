"""underwing demo: a week with three invented families, offline, in under a minute."""

from __future__ import annotations

import asyncio
import sys
import webbrowser
from pathlib import Path

import typer


def demo(
    folder: Path = typer.Option(Path("underwing-demo"), "--into", help="Where the digest's files go."),
    pace: float = typer.Option(
        0.0, "--pace", min=0, max=10, help="Seconds to wait between messages, to read along."
    ),
    quiet: bool = typer.Option(False, "--quiet", help="Show the progress and the digest only."),
    page: bool | None = typer.Option(
        None, "--page/--no-page", help="Serve the page to try it yourself; by default at a terminal only."
    ),
) -> None:
    """Play a week: reminders, replies, a question, a concern, the digest. No account, no network."""
    try:
        asyncio.run(_demo(folder, pace, quiet, page=sys.stdout.isatty() if page is None else page))
    except KeyboardInterrupt:
        typer.echo("\nStopped. Nothing runs any more.")


async def _demo(folder: Path, pace: float, quiet: bool, *, page: bool) -> None:
    # The demo brings a web server along; no other command should pay for loading it.
    from demo.page.serve import serving
    from demo.play import play

    await play(folder, pace=pace, quiet=quiet)
    if not page:
        return
    async with serving() as address:
        typer.echo(f"\nNow try it yourself: {address}\nStop it with Ctrl-C.")
        await asyncio.to_thread(webbrowser.open, address)
        await asyncio.Event().wait()
