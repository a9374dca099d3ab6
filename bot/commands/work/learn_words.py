"""The clinic's own labelled messages: a file beside its data, a line of JSON a message, for its own eyes."""

from __future__ import annotations

import json
import os
from pathlib import Path

from bot.commands.answer import answer
from bot.errors import InputProblem
from bot.settings import load_settings
from bot.text import plain_text

FILE = "labelled_messages.jsonl"
LABELS = ("act_now", "same_day", "neither")


def run(text: str, was: str, env_file: Path | None, *, as_json: bool) -> None:
    if was not in LABELS:
        raise InputProblem(f"--was {was!r} is not known; use one of {', '.join(LABELS)}")
    kept = plain_text(text).strip()
    if not kept:
        raise InputProblem("the message is empty; write its words in quotes")
    path = load_settings(env_file).data / FILE
    keep(path, kept, was)
    said = f"Kept in {path}. To train with it: python -m tests.training.concerns --clinic {path}"
    answer({"file": str(path), "text": kept, "was": was}, [said], as_json=as_json)


def keep(path: Path, text: str, was: str) -> None:
    """Add a line to the file, which nobody but its owner may read."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with os.fdopen(
        os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600), "a", encoding="utf-8"
    ) as file:
        file.write(json.dumps({"text": text, "label": was}, ensure_ascii=False) + "\n")
