"""underwing day: plan a day, or many, from files or from lines of JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from bot.commands.options import AsJson


def day(
    plan: Annotated[Path | None, typer.Option(help="The plan document, JSON or YAML.")] = None,
    date: Annotated[
        str | None, typer.Option(help="The first date to plan, YYYY-MM-DD; else today in the plan's zone.")
    ] = None,
    example: Annotated[
        bool, typer.Option("--example", help="Plan a day of the plan that is built in.")
    ] = False,
    log: Annotated[Path | None, typer.Option(help="What was done: a list of entries, JSON or YAML.")] = None,
    start_from: Annotated[
        str | None, typer.Option("--from", help="Nothing starts before this local time, HH:MM.")
    ] = None,
    asleep_until: Annotated[str | None, typer.Option(help="Nothing starts while asleep, HH:MM.")] = None,
    days: Annotated[int, typer.Option(help="How many days to plan, 1 to 366.")] = 1,
    as_json: AsJson = False,
    lines: Annotated[
        bool, typer.Option("--lines", help="Read one case a line, answer one line each.")
    ] = False,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print the JSON Schema of a plan document.")
    ] = False,
    show_example: Annotated[
        bool, typer.Option("--show-example", help="Print the plan that is built in, to start your own from.")
    ] = False,
    png: Annotated[Path | None, typer.Option(help="Draw the planned days into this file.")] = None,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of reasons.")] = "en",
) -> None:
    """Plan a family's day: what to prompt, on which side, when and for how long."""
    from bot.commands.work import day as work

    if schema:
        work.print_schema()
    elif show_example:
        work.print_example()
    elif lines:
        work.answer_days(language)
    else:
        given = work.Given(plan, date, log, start_from, asleep_until, days)
        work.run(work.with_example(given) if example else given, language, png=png, as_json=as_json)
