"""Whom a family calls: shown and set by its therapist, "/numbers Pip emergency 112"."""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import named_at_front, own_family, say
from bot.features.caseload.rules import NumberAsked, number_asked
from bot.features.context import Context
from bot.features.events import Event
from bot.phrases import Words, words_for


def command(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    """/numbers [name [kind number]]: show whom a family calls, or set one of its numbers."""
    named = named_at_front(context, event, therapist, asked, lambda family: verbs.NUMBERS.data(family.id))
    if named is None:
        return
    family, rest = named
    asked_for = number_asked(rest)
    words = words_for(therapist.language)
    if not rest.strip():
        say(context, event, shown(context, family, words))
    elif asked_for is None:
        say(context, event, words("numbers.not_read", nickname=family.nickname))
    elif own_family(context, event, therapist, family.id) is not None:
        _set(context, family, asked_for)
        context.uow.audit.note(
            who=Actor.therapist(therapist.id), what="numbers set", now=context.now, family_id=family.id
        )
        say(context, event, shown(context, context.uow.families.get(family.id), words))


def pressed(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """A family was chosen by its button."""
    family = own_family(context, event, therapist, argument)
    if family is not None:
        say(context, event, shown(context, family, words_for(therapist.language)))


def shown(context: Context, family: Family, words: Words) -> str:
    """Return whom a family calls now."""
    text = words(
        "numbers.shown",
        nickname=family.nickname,
        **context.numbers(family, words.language).fields(),
    )
    return text + ("\n" + words("numbers.away") if family.away else "")


def _set(context: Context, family: Family, asked: NumberAsked) -> None:
    numbers: dict[str, str | None] = {
        "emergency_line": family.emergency_line,
        "nurse_line": family.nurse_line,
        "crisis_line": family.crisis_line,
    }
    numbers[asked.line] = asked.number
    context.uow.families.set_numbers(family.id, **numbers)
