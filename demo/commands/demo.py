"""underwing demo: a week with three invented families, offline, in under a minute; and a page to look into it."""

from __future__ import annotations

import sys
from pathlib import Path

import typer


def demo(
    folder: Path = typer.Option(Path("underwing-demo"), "--into", help="Where the digest's files go."),
    pace: float = typer.Option(
        0.0, "--pace", min=0, max=10, help="Seconds to wait between messages, to read along."
    ),
    quiet: bool = typer.Option(False, "--quiet", help="Show the progress and the digest only."),
    whole: bool = typer.Option(
        False, "--whole", help="Show every message of the week, not the first day and a line a day."
    ),
    page: bool | None = typer.Option(
        None,
        "--page/--no-page",
        help="Serve a page on this machine in which you live the week yourself. On a terminal it is served unless you "
        "say --no-page; elsewhere only with --page.",
    ),
    port: int = typer.Option(0, "--port", min=0, max=65535, help="The page's port; 0 takes a free one."),
) -> None:
    """Play a week: reminders, replies, a question, a concern, the digest. No account, no network."""
    # The demo brings a web server and its loop along; no other command should pay for loading them.
    import asyncio

    from bot.errors import WorldProblem
    from bot.logs import set_up_logs
    from demo.play import play
    from demo.show import show

    set_up_logs("warning")
    with_page = sys.stdout.isatty() if page is None else page
    try:
        if with_page:
            asyncio.run(show(folder, pace=pace, quiet=quiet, whole=whole, port=port))
        else:
            asyncio.run(play(folder, pace=pace, quiet=quiet, whole=whole))
    except OSError as error:
        raise WorldProblem(f"--port {port}: cannot be used ({error.strerror}); take another") from None
    except KeyboardInterrupt:
        typer.echo("\nStopped. Nothing runs any more.")
