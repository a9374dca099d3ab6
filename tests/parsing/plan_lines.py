"""A therapist's line about a plan, read and carried out, for the tests of such lines."""

from __future__ import annotations

from datetime import date

from bot.activities.library import load_library
from bot.features.plan.templates import starting_values
from bot.parsing.plan_line.reader import read_plan_words
from bot.parsing.plan_line.vocabulary import names_of
from scheduling.plan import Plan, document_of, plan_from
from scheduling.plan.edits import applied

TODAY = date(2026, 3, 4)
NAMES = names_of(load_library())


def plan_after(text: str, plan: Plan) -> tuple[Plan, list[tuple[str, str]], tuple[str, ...]]:
    """Return the plan after a line, what must be told of it, and what was not read."""
    read = read_plan_words(text, plan, TODAY, NAMES)
    changed, notes = applied(plan, read.changes, starting_values())
    assert plan_from(document_of(changed)) == changed
    return changed, [(note.kind, note.activity) for note in notes], read.unread
