"""Who saw or changed what of a family, for its therapist to read."""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.audit import Act
from bot.domain.outgoing import Button, row
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, say, seen_family
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import actor_named, when_shown
from bot.phrases import Words, words_for

A_PAGE = 15


def shown(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/audit FAMILY: who saw or changed what, the newest first."""
    family = chosen_family(context, event, therapist, wanted, lambda each: verbs.AUDIT.data(each.id, None))
    if family is not None:
        pressed(context, event, therapist, family.id, None)


def pressed(context: Context, event: Event, therapist: Therapist, ref: str, before: int | None) -> None:
    """A page of it. before: only what came before this entry."""
    family = seen_family(context, event, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    acts = context.uow.audit.of_family(family.id, most=A_PAGE + 1, before=before)
    lines = [words("audit.title", nickname=family.nickname)]
    lines += [_line(context, act, family, words) for act in acts[:A_PAGE]]
    if not acts:
        lines.append(words("audit.nothing"))
    more = (
        (row(Button(words.plain("audit.older_button"), verbs.AUDIT.data(family.id, acts[A_PAGE - 1].id))),)
        if len(acts) > A_PAGE
        else ()
    )
    say(context, event, "\n".join(lines), more)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="audit seen", now=context.now, family_id=family.id
    )


def _line(context: Context, act: Act, family: Family, words: Words) -> str:
    key = "audit.act_" + act.what.replace(" ", "_").replace("-", "_")
    what = words.plain(key) if words.has(key) else act.what
    who = actor_named(context, act.who, family, words)
    return words(
        "audit.line", when=when_shown(act.at, family, words, context.clinic.zone), who=who, what=what
    )
