"""underwing demo: a week with three invented families, offline, in under a minute."""

from __future__ import annotations

import asyncio
from pathlib import Path

import typer


def demo(
    folder: Path = typer.Option(Path("underwing-demo"), "--into", help="Where the digest's files go."),
    pace: float = typer.Option(
        0.0, "--pace", min=0, max=10, help="Seconds to wait between messages, to read along."
    ),
    quiet: bool = typer.Option(False, "--quiet", help="Show the progress and the digest only."),
) -> None:
    """Play a week: reminders, replies, a question, a concern, the digest. No account, no network."""
    # The demo brings a web server along; no other command should pay for loading it.
    from demo.play import play

    try:
        asyncio.run(play(folder, pace=pace, quiet=quiet))
    except KeyboardInterrupt:
        typer.echo("\nStopped. Nothing runs any more.")
