"""One family's page of a digest, and what can be asked from there: its document, visit note, table, where figures come
from."""

from __future__ import annotations

import html

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist.own_families import (
    choices,
    families_named,
    families_seen_by,
    family_by_ref,
    ref_of,
)
from bot.digest.chart import week_picture
from bot.digest.document import paper_for, visit_note_pdf
from bot.digest.exchange import csv_of, visit_note_text
from bot.digest.figures import FamilyDigest
from bot.digest.spans import Span, SpanProblem, decoded, encoded, span_from
from bot.digest.text import family_text
from bot.digest.week import digest_of
from bot.digest.wording import NameOf
from bot.phrases import Words, words_for
from bot.records import audit, people
from bot.records.facts import facts_in
from bot.records.people import Family, Therapist
from bot.say import Attachment, Button, Buttons, row

PAGE_STEP = "page"


def data(verb: str, span: Span, family: Family) -> str:
    """Return the data of a button that acts on a family's time; at most 45 bytes."""
    return f"{verb}:{encoded(span)}:{ref_of(family.id)}"


async def meant(desk: Desk, therapist: Therapist, argument: str) -> tuple[Span, Family] | None:
    """Return the time and family that a button names; None where it names none that this therapist may see."""
    code, _, ref = argument.partition(":")
    span = decoded(code)
    family = await family_by_ref(desk, therapist, ref)
    return (span, family) if span is not None and family is not None else None


def names(desk: Desk, therapist: Therapist) -> NameOf:
    return lambda activity: desk.library.name(activity, therapist.language)


async def digest_for(desk: Desk, family: Family, span: Span) -> FamilyDigest:
    return digest_of(await facts_in(desk.conn, family, desk.now, span))


async def pressed_page(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    if (named := await meant(desk, therapist, argument)) is not None:
        await show(desk, therapist, named[1], named[0])


async def show(desk: Desk, therapist: Therapist, family: Family, span: Span) -> None:
    """Show one family's page: its picture, then its text with the buttons under the last part."""
    words = words_for(therapist.language)
    digest = await digest_for(desk, family, span)
    picture = week_picture(digest, words, names(desk, therapist))
    await desk.tell_therapist(therapist, "", attachment=Attachment("picture", "week.png", content=picture))
    *before, last = family_text(digest, words, names(desk, therapist))
    about = f"family:{family.id}/"[:60]
    for page in before:
        await desk.tell_therapist(therapist, page, about=about)
    await desk.tell_therapist(therapist, last, about=about, buttons=_buttons(span, family, words))
    await remember(desk, therapist, family, span)
    await _seen(desk, therapist, family, "family page seen")


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


async def remember(desk: Desk, therapist: Therapist, family: Family, span: Span) -> None:
    """Keep which page was looked at last, so that "where from tummy" needs no name; no other talk is broken off."""
    assert therapist.chat_id is not None
    await people.change_chat(desk.conn, therapist.chat_id, family_id=family.id)
    if (await people.chat(desk.conn, therapist.chat_id)).step in (None, PAGE_STEP):
        await people.set_step(desk.conn, therapist.chat_id, PAGE_STEP, span=encoded(span), family=family.id)


async def note(desk: Desk, incoming: Incoming, therapist: Therapist, text: str) -> None:
    """Answer /note FAMILY [TIME]: the visit note of the last seven days, or of the time named."""
    words = words_for(therapist.language)
    try:
        span, name = span_from(text, now=desk.now, zone=desk.clinic.zone)
    except SpanProblem:
        await desk.tell_therapist(therapist, words("page.span_help"))
        return
    found = await families_named(desk, therapist, name)
    if len(found) == 1:
        await tell_note(desk, therapist, found[0], span)
        return
    if name and not found:
        await desk.tell_therapist(therapist, words("page.no_such_family", name=name))
        return
    families = found or [f for f in await families_seen_by(desk, therapist) if f.state != "discharged"]
    buttons = choices(families, lambda each: data("note", span, each))
    await desk.tell_therapist(therapist, words("page.which_family"), buttons=buttons)


async def pressed_note(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    if (named := await meant(desk, therapist, argument)) is not None:
        await tell_note(desk, therapist, named[1], named[0])


async def tell_note(desk: Desk, therapist: Therapist, family: Family, span: Span) -> None:
    """Send the visit note: text to paste, and a page to print."""
    words = words_for(therapist.language)
    digest = await digest_for(desk, family, span)
    note = visit_note_text(digest, words, names(desk, therapist))
    await desk.tell_therapist(therapist, html.escape(note, quote=False))
    page = visit_note_pdf(
        [digest],
        words,
        names(desk, therapist),
        as_of=desk.now.astimezone(desk.clinic.zone),
        paper=paper_for(desk.clinic.zone.key),
    )
    await desk.tell_therapist(
        therapist, "", attachment=Attachment("document", "visit-note.pdf", content=page)
    )
    await _seen(desk, therapist, family, "visit note made")


async def pressed_table(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    """Send every session of the time as CSV."""
    if (named := await meant(desk, therapist, argument)) is None:
        return
    span, family = named
    content = csv_of([await digest_for(desk, family, span)]).encode("utf-8")
    await desk.tell_therapist(
        therapist, "", attachment=Attachment("document", "sessions.csv", content=content)
    )
    await _seen(desk, therapist, family, "table made")


async def _seen(desk: Desk, therapist: Therapist, family: Family, what: str) -> None:
    await audit.note(desk.conn, who=f"therapist:{therapist.id}", what=what, now=desk.now, family_id=family.id)
