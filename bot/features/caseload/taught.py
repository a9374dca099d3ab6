"""Which carer the therapist taught what must be shown in person first: "/taught Pip", a button for each carer and activity.

A tap marks today's date, another takes it back. Only who is marked is asked for such an activity, or shown its card.
"""

from __future__ import annotations

from datetime import date

from bot.domain.actor import Actor
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.people import Carer, Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import edit_pressed, named_at_front, say, seen_family
from bot.features.buttons import mark_of
from bot.features.caseload.rules import taught_anew
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import date_shown
from bot.phrases import Words, words_for

LONGEST_NAME = 10  # letters of a carer's name on a button


def command(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    """/taught [name]: who was taught what."""
    named = named_at_front(context, event, therapist, asked, lambda each: verbs.TAUGHT_LIST.data(each.id))
    if named is not None:
        say(context, event, *_shown(context, named[0], words_for(therapist.language)))


def pressed_list(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    """A family was chosen by its button."""
    family = seen_family(context, event, therapist, ref)
    if family is not None:
        say(context, event, *_shown(context, family, words_for(therapist.language)))


def pressed(
    context: Context, event: Event, therapist: Therapist, ref: str, carer_mark: str, activity_mark: str
) -> None:
    """Mark a carer as taught today, or take that back; the day is planned anew."""
    family = seen_family(context, event, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    carers = [each for each in _carers(context, family) if mark_of(each.id) == carer_mark]
    activities = [each for each in _to_teach(context, family) if mark_of(each) == activity_mark]
    if len(carers) != 1 or len(activities) != 1:
        say(context, event, words("edge.old_button"))
        return
    carer, activity = carers[0], activities[0]
    taught = {name: date.fromisoformat(on) for name, on in carer.taught.items()}
    taught = taught_anew(taught, activity, family.local(context.now).date())
    context.uow.carers.set_taught(carer, taught)
    context.uow.families.request_replan(family.id, context.now)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="taught set" if activity in taught else "taught taken back",
        now=context.now,
        family_id=family.id,
        detail=f"{carer.id} {activity}"[:180],
    )
    edit_pressed(context, event, *_shown(context, family, words))


def _carers(context: Context, family: Family) -> list[Carer]:
    return [each for each in context.uow.carers.of_family(family.id) if each.state != "left"]


def _to_teach(context: Context, family: Family) -> list[str]:
    version = context.uow.plans.current(family.id)
    activities = version.plan.activities if version else ()
    return [each.activity for each in activities if context.library.must_be_taught(each.activity)]


def _shown(context: Context, family: Family, words: Words) -> tuple[str, Buttons]:
    activities, carers = _to_teach(context, family), _carers(context, family)
    if not activities:
        return words("taught.none_in_plan", nickname=family.nickname), ()
    lines, buttons = [words("taught.title", nickname=family.nickname)], []
    for activity in activities:
        name = context.library.name(activity, words.language)
        for carer in carers:
            on = carer.taught.get(activity)
            if on is None:
                lines.append(words("taught.not_yet", carer=carer.name, activity=name))
            else:
                day = date_shown(date.fromisoformat(on), words)
                lines.append(words("taught.on", carer=carer.name, activity=name, day=day))
            label = words.plain(
                "taught.set_button" if on is None else "taught.off_button", carer=carer.name[:LONGEST_NAME]
            )
            data = verbs.TAUGHT.data(family.id, mark_of(carer.id), mark_of(activity))
            buttons.append(row(Button(label, data)))
    return "\n".join(lines), tuple(buttons)
