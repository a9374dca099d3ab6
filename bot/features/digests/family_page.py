"""One family's page of a digest, and what can be asked from there: its document, visit note, table, where figures come
from."""

from __future__ import annotations

import json

from bot.digest.exchange import csv_of
from bot.digest.fhir import fhir_bundle
from bot.digest.figures import FamilyDigest
from bot.digest.week import digest_of
from bot.digest.wording import NameOf, names_in
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment
from bot.domain.people import Family, Therapist
from bot.domain.rendering import PageRequest, VisitNoteRequest
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import chosen_family
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.events import Event
from bot.parsing.period import Span, SpanProblem, encoded, span_from
from bot.phrases import words_for
from bot.storage.reports.facts import facts_in

PAGE_STEP = "page"


def meant(context: Context, therapist: Therapist, span: Span, ref: str) -> tuple[Span, Family] | None:
    """Return the time and family that a button names; None where it names none that this therapist may see."""
    family = family_by_ref(context, therapist, ref)
    return (span, family) if family is not None else None


def names(context: Context, therapist: Therapist) -> NameOf:
    return names_in(context.library, therapist.language)


def digest_for(context: Context, family: Family, span: Span) -> FamilyDigest:
    return digest_of(facts_in(context.uow, family, context.now, span))


def pressed_page(context: Context, event: Event, therapist: Therapist, span: Span, ref: str) -> None:
    if (named := meant(context, therapist, span, ref)) is not None:
        show(context, therapist, named[1], named[0])


def show(context: Context, therapist: Therapist, family: Family, span: Span) -> None:
    """Ask for one family's page: its picture, then its text with the buttons under the last part."""
    wanted = PageRequest(family=family.id, language=therapist.language, span=encoded(span), at=context.now)
    context.tell_therapist(therapist, "", about=Subject.family(family.id), render=wanted)
    remember(context, therapist, family, span)
    _seen(context, therapist, family, "family page seen")


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
    family = chosen_family(
        context,
        event,
        therapist,
        name,
        lambda each: verbs.NOTE.data(span, each.id),
        discharged=bool(name),
    )
    if family is not None:
        tell_note(context, event, therapist, family, span)


def pressed_note(context: Context, event: Event, therapist: Therapist, span: Span, ref: str) -> None:
    if (named := meant(context, therapist, span, ref)) is not None:
        tell_note(context, event, therapist, named[1], named[0])


def tell_note(context: Context, event: Event, therapist: Therapist, family: Family, span: Span) -> None:
    """Ask for the visit note: text to paste, and a page to print."""
    wanted = VisitNoteRequest(
        family=family.id, language=therapist.language, span=encoded(span), at=context.now
    )
    context.say_making(event, therapist)
    context.tell_therapist(therapist, "", render=wanted)
    _seen(context, therapist, family, "visit note made")


def pressed_table(context: Context, event: Event, therapist: Therapist, span: Span, ref: str) -> None:
    """Send every session of the time as CSV."""
    if (named := meant(context, therapist, span, ref)) is None:
        return
    span, family = named
    content = csv_of([digest_for(context, family, span)]).encode("utf-8")
    context.tell_therapist(therapist, "", attachment=Attachment("document", "sessions.csv", content=content))
    _seen(context, therapist, family, "table made")


def pressed_record(context: Context, event: Event, therapist: Therapist, span: Span, ref: str) -> None:
    """Send what was logged in the time as a bundle of HL7 FHIR R4, for a hospital's records."""
    if (named := meant(context, therapist, span, ref)) is None:
        return
    span, family = named
    bundle = fhir_bundle(facts_in(context.uow, family, context.now, span), names(context, therapist))
    content = json.dumps(bundle, ensure_ascii=False, indent=1).encode("utf-8")
    context.tell_therapist(
        therapist, "", attachment=Attachment("document", "record.fhir.json", content=content)
    )
    _seen(context, therapist, family, "record made")


def _seen(context: Context, therapist: Therapist, family: Family, what: str) -> None:
    context.uow.audit.note(who=Actor.therapist(therapist.id), what=what, now=context.now, family_id=family.id)
