"""What a therapist weighs before choosing an activity: /howto for her, with sources, usual mistakes and the review."""

from __future__ import annotations

from bot.activities.card import reviews_of, therapist_card
from bot.domain.outgoing import Button, Buttons
from bot.domain.people import Therapist
from bot.features import verbs
from bot.features.access.family_choice import say
from bot.features.context import Context
from bot.features.events import Event
from bot.parsing.plan_line.vocabulary import names_of
from bot.phrases import words_for
from bot.text import fold


def command(context: Context, event: Event, therapist: Therapist, said: str) -> None:
    """/howto and /howto ACTIVITY: the card of the one that fits, else those that do, else all."""
    found = _named(context, said)
    if len(found) == 1:
        _show(context, event, therapist, found[0])
        return
    words = words_for(therapist.language)
    offered = found or list(context.library)
    lines = [words("howto.unknown")] if said and not found else []
    lines += [words("refresh.which"), reviews_of((context.library[each] for each in offered), words)]
    say(context, event, "\n".join(lines), _buttons(context, therapist, offered))


def pressed(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    if argument in context.library:
        _show(context, event, therapist, argument)
    else:
        say(context, event, words_for(therapist.language)("edge.old_button"))


def _named(context: Context, said: str) -> list[str]:
    """Return the activities that words name, whole or in part, in the order of the library."""
    wanted = fold(said.strip())
    names = names_of(context.library)
    if not wanted or wanted in names:
        return [names[wanted]] if wanted else []
    found = {activity for name, activity in names.items() if wanted in name}
    return [activity for activity in context.library if activity in found]


def _show(context: Context, event: Event, therapist: Therapist, activity: str) -> None:
    """Send the card for no baby in particular: its sides read "weaker" and "stronger"."""
    words = words_for(therapist.language)
    card = therapist_card(
        context.library[activity],
        language=therapist.language,
        nickname=words.plain("card.any_baby"),
        affected_side="both",
        side=None,
    )
    say(context, event, card)


def _buttons(context: Context, therapist: Therapist, activities: list[str]) -> Buttons:
    made = [
        Button(context.library.name(each, therapist.language), verbs.HOWTO.data(each)) for each in activities
    ]
    return tuple(tuple(made[place : place + 2]) for place in range(0, len(made), 2))
