"""What a therapist writes in plain words, where nothing else takes it: a family's name, a wish that a command has too, a plan line.

A wish is followed only where every word is accounted for: the wish, small words, and a family's name or a time. Anything else
may be meant for somebody, and gets the help text.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from bot.domain.people import Therapist
from bot.features.access.family_choice import Act
from bot.features.access.family_lookup import families_seen, family_at_front, matching
from bot.features.context import Context
from bot.features.events import TextWritten
from bot.features.plan import editor
from bot.parsing.period import SpanProblem, span_from
from bot.parsing.therapist_line import read_therapist_line, without_plan_intro, without_small

COMMAND_OF = {"new_family": "/newfamily"}
"""Where a wish is not named as its command is."""


def wrote(context: Context, event: TextWritten, therapist: Therapist, commands: Mapping[str, Act]) -> bool:
    """Do what plain words ask for; return whether they asked for anything."""
    return asked(context, event, therapist, commands) or _plan_line(context, event, therapist)


def asked(context: Context, event: TextWritten, therapist: Therapist, commands: Mapping[str, Act]) -> bool:
    """Do what a command would, or show a family that is named by itself."""
    line = read_therapist_line(event.text)
    if line is None or (line.wish is None and not line.left):
        return False
    if line.wish != "new_family" and not _accounted_for(context, therapist, line.left):
        return False
    name = line.left if line.wish in ("new_family", "digest") else _name(context, line.left)
    command = COMMAND_OF.get(line.wish, f"/{line.wish}") if line.wish else "/families"
    commands[command](context, event, therapist, name)
    return True


def _name(context: Context, left: str) -> str:
    """Return what is left of words without the time in them."""
    try:
        _, name = span_from(left, now=context.now, zone=context.clinic.zone)
    except SpanProblem:
        return left
    return without_small(name)


def _accounted_for(context: Context, therapist: Therapist, left: str) -> bool:
    name = _name(context, left)
    families = families_seen(context, therapist, discharged=True)
    return not name or bool(matching(context, families, name))


def _plan_line(context: Context, event: TextWritten, therapist: Therapist) -> bool:
    """Take "pip: tummy 40 a day" as a line of that family's plan, whichever plan was looked at last."""
    families = families_seen(context, therapist)
    text = without_plan_intro(re.sub(r"[:,]", " ", event.text, count=1))
    found, rest = family_at_front(context, families, text)
    return len(found) == 1 and bool(rest) and editor.line_for(context, event, therapist, found[0], rest)
