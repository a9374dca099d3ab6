"""What a family's answers tell of its day, from lines of JSON."""

from __future__ import annotations

from typing import Any

from bot.commands.work.day import answer_standard_input
from bot.errors import InputProblem
from bot.phrases import Language, words_for
from bot.phrases.learned import suggestion_in_words
from scheduling.learn_case import learn_case_from


def run(language: Language, *, lines: bool, as_json: bool) -> None:
    if not lines or not as_json:
        raise InputProblem("--lines and --json are needed: underwing learn --lines --json < cases.jsonl")
    words = words_for(language)

    def answer(case: object) -> dict[str, Any]:
        return learn_case_from(case).answer(lambda found: suggestion_in_words(found, words))

    answer_standard_input(answer)
