"""A family's photos, clips and voice notes: listed, shown, taken back."""

from __future__ import annotations

import html

from bot.domain.actor import Actor
from bot.domain.media import Material
from bot.domain.outgoing import Attachment, Button, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, seen_family
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.events import Event
from bot.features.formats import short_day_shown
from bot.features.refreshers.media import say
from bot.phrases import Words, words_for

MOST_LISTED = 20


def command(context: Context, event: Event, therapist: Therapist, said: str) -> None:
    """/material and /material NICKNAME."""
    family = chosen_family(context, event, therapist, said, lambda each: verbs.MEDIA_LIST.data(each.id))
    if family is not None:
        _list(context, event, therapist, family)


def pressed_list(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    family = seen_family(context, event, therapist, argument)
    if family is not None and family.state != "discharged":
        _list(context, event, therapist, family)


def _list(context: Context, event: Event, therapist: Therapist, family: Family, note: str = "") -> None:
    words = words_for(therapist.language)
    found = (context.uow.media.of_family(family.id))[:MOST_LISTED]
    lines = [note] if note else []
    if not found:
        lines.append(words("material.none", nickname=family.nickname))
    else:
        lines.append(words("material.title", nickname=family.nickname))
    lines += [_line(context, place, each, family, words) for place, each in enumerate(found, start=1)]
    buttons = tuple(
        row(
            Button(words.plain("material.show_button", n=place), verbs.MEDIA_SHOW.data(each.id)),
            Button(words.plain("material.back_button", n=place), verbs.MEDIA_BACK.data(each.id)),
        )
        for place, each in enumerate(found, start=1)
    )
    say(context, event, "\n".join(lines), buttons)


def _line(context: Context, place: int, material: Material, family: Family, words: Words) -> str:
    return words(
        f"material.line_{material.kind}",
        place=place,
        activity=context.library.name(material.activity, words.language),
        day=short_day_shown(family.local(material.added_at).date(), words),
        caption=material.caption or "",
    ).rstrip(": ")


def _own(context: Context, therapist: Therapist, number: int) -> tuple[Material, Family] | None:
    material = context.uow.media.find(number)
    family = family_by_ref(context, therapist, material.family_id, discharged=False) if material else None
    return (material, family) if material and family else None


def pressed_show(context: Context, event: Event, therapist: Therapist, number: int) -> None:
    """Show the therapist one of them, as the family sees it."""
    own = _own(context, therapist, number)
    if own is None:
        say(context, event, words_for(therapist.language)("material.gone"), ())
        return
    material, _ = own
    context.say(
        OutgoingMessage(
            chat_id=event.chat_id,
            text=html.escape(material.caption or "", quote=False),
            attachment=Attachment(material.kind, material.activity, file_id=material.file_id),
            about=material.about,
        )
    )


def pressed_back(context: Context, event: Event, therapist: Therapist, number: int) -> None:
    """Take one of them back: the family is shown it no more."""
    own = _own(context, therapist, number)
    words = words_for(therapist.language)
    if own is None:
        say(context, event, words("material.gone"), ())
        return
    material, family = own
    context.uow.media.withdraw(material.id, context.now)
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="material taken back",
        now=context.now,
        family_id=family.id,
        detail=f"{material.id} {material.activity}",
    )
    _list(context, event, therapist, family, words("material.taken_back"))
