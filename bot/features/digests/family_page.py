"""One family's page of a digest, and what can be asked from there: its document, visit note, table, where figures come
from."""

from __future__ import annotations

import html

from bot.digest.chart import week_picture
from bot.digest.document import paper_for, visit_note_pdf
from bot.digest.exchange import csv_of, visit_note_text
from bot.digest.figures import FamilyDigest
from bot.digest.text import family_text
from bot.digest.week import digest_of
from bot.digest.wording import NameOf
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, Buttons, row
from bot.domain.people import Family, Therapist
from bot.features.access.family_lookup import (
    choices,
    current_families,
    families_named,
    family_by_ref,
    ref_of,
)
from bot.features.context import Context
from bot.features.events import Event
from bot.parsing.period import Span, SpanProblem, decoded, encoded, span_from
from bot.phrases import Words, words_for
from bot.storage.reports.facts import facts_in

PAGE_STEP = "page"


def data(verb: str, span: Span, family: Family) -> str:
    """Return the data of a button that acts on a family's time; at most 45 bytes."""
    return f"{verb}:{encoded(span)}:{ref_of(family.id)}"


def meant(context: Context, therapist: Therapist, argument: str) -> tuple[Span, Family] | None:
    """Return the time and family that a button names; None where it names none that this therapist may see."""
    code, _, ref = argument.partition(":")
    span = decoded(code)
    family = family_by_ref(context, therapist, ref)
    return (span, family) if span is not None and family is not None else None


def names(context: Context, therapist: Therapist) -> NameOf:
    return lambda activity: context.library.name(activity, therapist.language)


def digest_for(context: Context, family: Family, span: Span) -> FamilyDigest:
    return digest_of(facts_in(context.uow, family, context.now, span))


def pressed_page(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    if (named := meant(context, therapist, argument)) is not None:
        show(context, therapist, named[1], named[0])


def show(context: Context, therapist: Therapist, family: Family, span: Span) -> None:
    """Show one family's page: its picture, then its text with the buttons under the last part."""
    words = words_for(therapist.language)
    digest = digest_for(context, family, span)
    picture = week_picture(digest, words, names(context, therapist))
    context.tell_therapist(therapist, "", attachment=Attachment("picture", "week.png", content=picture))
    *before, last = family_text(digest, words, names(context, therapist))
    about = f"family:{family.id}/"[:60]
    for page in before:
        context.tell_therapist(therapist, page, about=about)
    context.tell_therapist(therapist, last, about=about, buttons=_buttons(span, family, words))
    remember(context, therapist, family, span)
    _seen(context, therapist, family, "family page seen")


def _buttons(span: Span, family: Family, words: Words) -> Buttons:
    return (
        row(
            Button(words.plain("page.where_button"), data("from", span, family)),
            Button(words.plain("page.note_button"), data("note", span, family)),
        ),
        row(
            Button(words.plain("page.document_button"), data("pdf", span, family)),
            Button(words.plain("page.table_button"), data("csv", span, family)),
        ),
        row(Button(words.plain("page.sheet_button"), f"sheet:{ref_of(family.id)}")),
    )


def remember(context: Context, therapist: Therapist, family: Family, span: Span) -> None:
    """Keep which page was looked at last, so that "where from tummy" needs no name; no other talk is broken off."""
    context.uow.chats.set_family(therapist.address, family.id)
    if context.uow.chats.get(therapist.address).dialog.step in (None, PAGE_STEP):
        context.uow.chats.start_dialog(
            therapist.address, PAGE_STEP, {"span": encoded(span), "family": family.id}
        )


def note(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /note FAMILY [TIME]: the visit note of the last seven days, or of the time named."""
    words = words_for(therapist.language)
    try:
        span, name = span_from(text, now=context.now, zone=context.clinic.zone)
    except SpanProblem:
        context.tell_therapist(therapist, words("page.span_help"))
        return
    found = families_named(context, therapist, name)
    if len(found) == 1:
        tell_note(context, therapist, found[0], span)
        return
    if name and not found:
        context.tell_therapist(therapist, words("page.no_such_family", name=name))
        return
    families = found or current_families(context, therapist)
    buttons = choices(families, lambda each: data("note", span, each))
    context.tell_therapist(therapist, words("page.which_family"), buttons=buttons)


def pressed_note(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    if (named := meant(context, therapist, argument)) is not None:
        tell_note(context, therapist, named[1], named[0])


def tell_note(context: Context, therapist: Therapist, family: Family, span: Span) -> None:
    """Send the visit note: text to paste, and a page to print."""
    words = words_for(therapist.language)
    digest = digest_for(context, family, span)
    note = visit_note_text(digest, words, names(context, therapist))
    context.tell_therapist(therapist, html.escape(note, quote=False))
    page = visit_note_pdf(
        [digest],
        words,
        names(context, therapist),
        as_of=context.now.astimezone(context.clinic.zone),
        paper=paper_for(context.clinic.zone.key),
    )
    context.tell_therapist(therapist, "", attachment=Attachment("document", "visit-note.pdf", content=page))
    _seen(context, therapist, family, "visit note made")


def pressed_table(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Send every session of the time as CSV."""
    if (named := meant(context, therapist, argument)) is None:
        return
    span, family = named
    content = csv_of([digest_for(context, family, span)]).encode("utf-8")
    context.tell_therapist(therapist, "", attachment=Attachment("document", "sessions.csv", content=content))
    _seen(context, therapist, family, "table made")


def _seen(context: Context, therapist: Therapist, family: Family, what: str) -> None:
    context.uow.audit.note(who=Actor.therapist(therapist.id), what=what, now=context.now, family_id=family.id)
