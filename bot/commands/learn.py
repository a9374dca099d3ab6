"""underwing learn: what a family's answers tell of its day, from lines of JSON."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from bot.commands.options import AsJson


def learn(
    lines: Annotated[
        bool,
        typer.Option("--lines", help="Read one case a line, answer one line each."),
    ] = False,
    as_json: AsJson = False,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of questions.")] = "en",
) -> None:
    """Suggest where a family's told day is no longer true, and show when it mostly answers."""
    from bot.commands.work.learn import run

    run(language, lines=lines, as_json=as_json)
