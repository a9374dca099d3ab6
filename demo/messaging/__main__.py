"""Run the local messaging server: python -m demo.messaging --port 8081 --token 1000:local-bot."""

from __future__ import annotations

import asyncio
import signal
import sys
from datetime import datetime
from typing import Annotated

import typer

from demo.messaging import Limits, MessagingServer, PeopleError, ServerClock


def main(
    port: Annotated[int, typer.Option(help="Port on 127.0.0.1; 0 takes a free one.")] = 8081,
    token: Annotated[str, typer.Option(help="The bot's token, number:letters.")] = "1000:local-bot",
    limits: Annotated[bool, typer.Option(help="Refuse what is sent faster than the rates.")] = True,
    clock_start: Annotated[str | None, typer.Option(help="ISO 8601 with offset.")] = None,
    clock_speed: Annotated[float, typer.Option(help="How many times as fast as real time.")] = 1.0,
    person: Annotated[list[str] | None, typer.Option(help="ID:NAME[:LANGUAGE] of someone to add.")] = None,
    seed: Annotated[int, typer.Option(help="Seed of faults.")] = 0,
) -> None:
    """Serve the public bot API, and the people's side, until the process is asked to stop."""
    try:
        start = datetime.fromisoformat(clock_start) if clock_start else None
        server = MessagingServer(
            token,
            port=port,
            clock=ServerClock(start, speed=clock_speed),
            limits=Limits() if limits else Limits.off(),
            seed=seed,
        )
        for entry in person or []:
            _add_person(server, entry)
    except ValueError as wrong:
        typer.echo(str(wrong), err=True)
        sys.exit(2)
    asyncio.run(_serve(server))


def _add_person(server: MessagingServer, entry: str) -> None:
    number, _, rest = entry.partition(":")
    name, _, language = rest.partition(":")
    if not (number.isdigit() and name):
        raise PeopleError(f"--person {entry!r} cannot be read: write ID:NAME or ID:NAME:LANGUAGE.")
    server.people.add(int(number), name, language_code=language or "en")


async def _serve(server: MessagingServer) -> None:
    asked = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, asked.set)
    try:
        await server.start()
    except OSError as wrong:
        typer.echo(
            f"Port {server.port} cannot be used: {wrong.strerror}. Choose another with --port.", err=True
        )
        sys.exit(1)
    typer.echo(f"base URL {server.base_url}")
    await asked.wait()
    await server.stop()


if __name__ == "__main__":
    typer.run(main)
