"""`underwing learn`: what a family's answers tell of its day, from lines of JSON."""

from __future__ import annotations

import sys
from typing import Annotated, Any, Literal

import typer

from bot.commands.day import BAD_INPUT, answer_lines
from bot.phrases import words_for
from bot.phrases.learned import suggestion_in_words
from scheduling.learn_case import learn_case_from


def learn(
    lines: Annotated[
        bool,
        typer.Option("--lines", help="Read one case a line, answer one line each."),
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of questions.")] = "en",
) -> None:
    """Suggest where a family's told day is no longer true, and show when it mostly answers."""
    if not lines or not as_json:
        sys.stderr.write("--lines and --json are needed: underwing learn --lines --json < cases.jsonl\n")
        raise typer.Exit(BAD_INPUT)
    words = words_for(language)

    def answer(case: object) -> dict[str, Any]:
        return learn_case_from(case).answer(lambda found: suggestion_in_words(found, words))

    for line in answer_lines(sys.stdin.buffer, answer):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
