"""The next step of a plan: proposed with the digest, with its numbers; one tap takes it, and nothing else does."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from bot.domain.outgoing import Button, row
from bot.domain.people import Family, Therapist
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import say, seen_family
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import minutes_shown
from bot.features.plan.draft import building_for, show_draft
from bot.features.plan.publish import take_step
from bot.features.plan.templates import starting_values
from bot.features.plan.therapist_view import dose_shown
from bot.phrases import words_for
from scheduling.localtime import day_begins
from scheduling.next_step import Met, met_steps, with_next
from scheduling.plan import Dose, Plan


def propose(context: Context, therapist: Therapist) -> None:
    """Tell a therapist of each step that is met, in a message of its own, until it is taken."""
    words = words_for(therapist.language)
    for family in context.uow.families.of_therapist(therapist.id):
        version = context.uow.plans.current(family.id) if family.state == "active" else None
        if version is None:
            continue
        for met in _met(context, family, version.plan):
            button = Button(words.plain("plan.next_button"), verbs.NEXT_STEP.data(family.id, met.activity))
            context.tell_therapist(
                therapist,
                _proposal(context, therapist, family, met),
                buttons=(row(button),),
                about=Subject.family(family.id),
            )


def _met(context: Context, family: Family, plan: Plan) -> tuple[Met, ...]:
    steps = {each.activity: each.next_step for each in plan.activities if each.next_step is not None}
    if not steps:
        return ()
    today = family.local(context.now).date()
    most = max(step.of for step in steps.values())
    minutes: dict[str, dict[date, float]] = {}
    for entry in context.uow.reminders.planner_log(family, until=today, days=most):
        day = entry.at.date() if isinstance(entry.at, datetime) else entry.at
        done = minutes.setdefault(entry.activity, {})
        done[day] = done.get(day, 0) + (entry.minutes or 0)
    since = day_begins(today - timedelta(days=most), family.zone)
    taken: dict[str, list[bool]] = {}
    for activity, at, well in context.uow.observations.taken_since(family.id, since):
        step = steps.get(activity)
        if step and 1 <= (today - family.local(at).date()).days <= step.of:
            taken.setdefault(activity, []).append(well)
    return met_steps(plan, today, minutes, taken)


def _proposal(context: Context, therapist: Therapist, family: Family, met: Met) -> str:
    words, step = words_for(therapist.language), met.step
    lines = [
        words(
            "plan.next_met",
            nickname=family.nickname,
            activity=context.library.name(met.activity, therapist.language),
            minutes=minutes_shown(step.minutes),
            days=met.days,
            of=step.of,
        )
    ]
    if met.well or met.poorly:
        lines.append(words("plan.next_taken", well=met.well, poorly=met.poorly))
    then = (
        dose_shown(step.then, words)
        if isinstance(step.then, Dose)
        else context.library.name(step.then, therapist.language)
    )
    lines.append(words("plan.next_then", then=then))
    return "\n".join(lines)


def pressed(context: Context, event: Event, therapist: Therapist, ref: str, activity: str) -> None:
    """Take a step: the plan with it becomes the next version; where checks find something, it is a draft and they say so."""
    family = seen_family(context, event, therapist, ref)
    building = building_for(context, event, therapist, family) if family is not None else None
    if family is None or building is None:
        return
    words = words_for(therapist.language)
    if building.changed:
        building.say(words("plan.next_draft_open", nickname=family.nickname))
        show_draft(building)
        return
    new = with_next(building.in_force.plan, activity, starting_values())
    if new is None:
        say(context, event, words("edge.old_button"))
        return
    building.keep(new)
    take_step(building)
