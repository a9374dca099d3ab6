"""Serve the page alone: python -m demo.page --port 8090."""

from __future__ import annotations

import asyncio
import contextlib
from typing import Annotated

import typer

from demo.page.serve import serving


def main(port: Annotated[int, typer.Option(help="Port on 127.0.0.1; 0 takes a free one.")] = 0) -> None:
    """Serve the week until the process is asked to stop."""

    async def serve() -> None:
        async with serving(port) as address:
            typer.echo(f"The page: {address}")
            await asyncio.Event().wait()

    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(serve())


if __name__ == "__main__":
    typer.run(main)
