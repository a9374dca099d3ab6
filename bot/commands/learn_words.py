"""underwing learn-words: keep a message with what it was, in the clinic's own file, for the learned reader's next training."""

from __future__ import annotations

from typing import Annotated

import typer

from bot.commands.options import AsJson, EnvFile


def learn_words(
    text: Annotated[str, typer.Argument(help="The message. Take names and places out of it first.")],
    was: Annotated[str, typer.Option("--was", help="What it was: act_now, same_day or neither.")],
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Keep a message that was read wrongly, and what it was. It stays on this machine; training takes it in."""
    from bot.commands.work.learn_words import run

    run(text, was, env_file, as_json=as_json)
