"""A new version of a plan is told to the family in plain words: once, to everyone who has joined, outside quiet hours.

Several versions made in a row are told as one: what is different from the last that was told.
"""

from __future__ import annotations

import html
from datetime import datetime

from babel.dates import format_skeleton

from bot.domain.actor import SERVER, Actor
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.domain.plans import Untold
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, say, seen_family
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import actor_named
from bot.features.plan.family_view import activity_line, change_line
from bot.features.quiet_delivery import quiet_ends
from bot.phrases import Words, words_for
from bot.storage.unit_of_work import UnitOfWork
from scheduling.plan import Plan
from scheduling.plan.difference import Change, changes_between

FAMILIES_A_TURN = 50
MOST_VERSIONS = 8  # listed under a plan


def tell_due(context: Context) -> None:
    """Tell families of new versions of their plans, where it is no quiet hour."""
    for family_id in context.uow.plans.unannounced_families(limit=FAMILIES_A_TURN):
        family = context.uow.families.find(family_id)
        untold = context.uow.plans.unannounced(family_id)
        if family is None or untold is None:
            continue
        if quiet_ends(untold.after, family, context.now) is None:
            _tell(context, family, untold)


def next_due(uow: UnitOfWork, now: datetime) -> datetime | None:
    """Return when the next family may be told, for a clock that jumps."""
    known = []
    for family_id in uow.plans.unannounced_families(limit=FAMILIES_A_TURN):
        family = uow.families.find(family_id)
        untold = uow.plans.unannounced(family_id)
        if family is not None and untold is not None:
            known.append(quiet_ends(untold.after, family, now) or now)
    return min(known, default=None)


def _tell(context: Context, family: Family, untold: Untold) -> None:
    changes = changes_between(untold.before, untold.after)
    context.uow.plans.mark_announced(family.id, context.now)
    therapist = context.uow.therapists.find(family.therapist_id)
    if not changes or therapist is None:
        return
    if not untold.note:
        in_words = lines_of(changes, untold.after, words_for(therapist.language), context)
        context.uow.plans.set_note(family.id, untold.version, " ".join(in_words))
    by_carer = untold.made_by.id if untold.made_by.kind == "carer" else None
    by_family = by_carer is not None or untold.made_by == SERVER
    for carer in context.uow.carers.of_family(family.id):
        if carer.state != "active" or carer.chat_id is None or carer.id == by_carer:
            continue
        words = words_for(carer.language)
        head = (
            words("change.told_by_family", nickname=family.nickname)
            if by_family
            else words("change.told", therapist=therapist.name, nickname=family.nickname)
        )
        lines = [f"• {line}" for line in lines_of(changes, untold.after, words, context)]
        tail = () if by_family else (words("change.questions", therapist=therapist.name),)
        context.say(
            OutgoingMessage(
                chat_id=carer.chat_id,
                family=family.id,
                text="\n".join([head, *map(_escaped, lines), *tail]),
                key=f"plan:{family.id}:{untold.version}:{carer.id}",
                about=Subject.of("plan", untold.version),
            )
        )
    context.uow.audit.note(
        who=SERVER,
        what="plan told",
        now=context.now,
        family_id=family.id,
        detail=str(untold.version),
    )


def lines_of(changes: tuple[Change, ...], plan: Plan, words: Words, context: Context) -> list[str]:
    """Return one plain line a change, in the language of `words`."""
    return [
        change_line(change, plan, words, lambda activity: context.library.name(activity, words.language))
        for change in changes
    ]


def _escaped(line: str) -> str:
    return html.escape(line, quote=False)


# ---------------------------------------------------------------- showing it to the therapist


def plan(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/plan FAMILY: the plan in force, and its versions."""
    family = chosen_family(context, event, therapist, wanted, lambda each: verbs.PLAN_SHOW.data(each.id))
    if family is not None:
        pressed_show(context, event, therapist, family.id)


def pressed_show(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    family = seen_family(context, event, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    versions = context.uow.plans.versions(family.id)
    newest = versions[-1]

    def name_of(activity: str) -> str:
        return context.library.name(activity, therapist.language)

    lines = [words("change.plan_title", nickname=family.nickname, n=newest.version)]
    lines += [
        f"• {_escaped(activity_line(each, newest.plan, words, name_of))}" for each in newest.plan.activities
    ]
    if not newest.plan.activities:
        lines.append(words("change.empty_plan"))
    lines += ["", words("change.versions")]
    for each in reversed(versions[-MOST_VERSIONS:]):
        by = actor_named(context, each.made_by, family, words)
        day = format_skeleton("yMMMd", family.local(each.made_at).date(), locale=words.language)
        lines.append(words("change.version", n=each.version, day=day, by=by))
        if each.note:
            lines.append(words("change.version_note", note=each.note))
    button = Button(words.plain("caseload.back_button"), verbs.CARD.data(family.id))
    say(context, event, "\n".join(lines), (row(button),), about=Subject.family(family.id))
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="plan seen", now=context.now, family_id=family.id
    )
