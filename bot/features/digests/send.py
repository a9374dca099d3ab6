"""The weekly digest: when it is due, what it covers, and the request for the one message that brings it."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from bot.domain.actor import Actor
from bot.domain.ids import TherapistId
from bot.domain.outgoing import Kind
from bot.domain.people import Clinic, Therapist
from bot.domain.rendering import DigestRequest, DocumentRequest
from bot.domain.subject import Subject
from bot.features import verbs
from bot.features.access.family_choice import chosen_family
from bot.features.access.family_lookup import family_by_ref
from bot.features.context import Context
from bot.features.digests import family_page
from bot.features.events import Event
from bot.features.plan import next_step
from bot.parsing.period import Instants, Span, SpanProblem, encoded, span_from
from bot.phrases import words_for
from scheduling.localtime import instant_for


def next_occurrence(clinic: Clinic, after: datetime) -> datetime:
    """Return the next digest instant after `after`: the clinic's weekday and local time, whatever its clock changes."""
    today = after.astimezone(clinic.zone).date()
    for offset in range(9):
        due = _on(clinic, today + timedelta(days=offset))
        if due is not None and due > after:
            return due
    raise AssertionError("every weekday comes within eight days")


def last_occurrence(clinic: Clinic, until: datetime) -> datetime:
    """Return the newest digest instant at or before `until`."""
    today = until.astimezone(clinic.zone).date()
    for offset in range(9):
        due = _on(clinic, today - timedelta(days=offset))
        if due is not None and due <= until:
            return due
    raise AssertionError("every weekday comes within eight days")


def _on(clinic: Clinic, local_day: date) -> datetime | None:
    if local_day.weekday() != clinic.digest_weekday:
        return None
    at: time = clinic.digest_at
    return instant_for(local_day, at, clinic.zone)


def week_up_to(clinic: Clinic, to_at: datetime) -> Instants:
    """Return the week of the clinic's calendar that a digest ends: 167 or 169 hours where its clocks change."""
    return Instants(last_occurrence(clinic, to_at - timedelta(microseconds=1)), to_at)


def due_now(context: Context) -> list[TherapistId]:
    """Return the therapists whose digest is due, and book the next one of the others.

    One who has no chat yet has none booked: their first digest covers the week before the first day due after they join.
    """
    due: list[TherapistId] = []
    for therapist in context.uow.therapists.all():
        due_at = due_for(context.clinic, therapist, context.now) if therapist.chat_id is not None else None
        if due_at is not None and due_at <= context.now:
            due.append(therapist.id)
        elif due_at != therapist.next_digest_at:
            context.uow.therapists.book_digest(therapist.id, due_at)
    return due


def send(context: Context, therapist_id: TherapistId) -> None:
    """Ask for the digest that is due to a therapist, once; after an outage one that covers all since the last."""
    therapist = context.uow.therapists.find(therapist_id)
    if therapist is not None and due_for(context.clinic, therapist, context.now) <= context.now:
        _send(context, therapist, last_occurrence(context.clinic, context.now))


def due_for(clinic: Clinic, therapist: Therapist, now: datetime) -> datetime:
    """Return when a therapist's next digest is due, by the clinic's present day and time: a change of them holds at
    once, and the digest that comes next still begins where the last one ended."""
    if therapist.digest_until is not None:
        return next_occurrence(clinic, therapist.digest_until)
    booked = therapist.next_digest_at
    # The first one was booked when the bot first saw the therapist; one that came due in an outage still counts.
    return booked if booked is not None and booked <= now else next_occurrence(clinic, now)


def _send(context: Context, therapist: Therapist, to_at: datetime) -> None:
    from_at = therapist.digest_until or week_up_to(context.clinic, to_at).from_at
    context.uow.therapists.note_digest(
        therapist.id, until=to_at, next_at=next_occurrence(context.clinic, to_at)
    )
    if not _has_families(context, therapist, from_at):
        return  # nothing to tell of, and nothing that could have gone unseen
    if not context.uow.digests.note_digest(therapist.id, from_at=from_at, to_at=to_at, now=context.now):
        return
    request(
        context,
        therapist,
        Instants(from_at, to_at),
        kind="digest",
        key=f"digest:{therapist.id}:{to_at.isoformat()}",
    )
    next_step.propose(context, therapist)


def _has_families(context: Context, therapist: Therapist, since: datetime) -> bool:
    """Say whether a therapist has, or had in the time that a digest covers, a family of their own."""
    return bool(context.uow.families.not_discharged_before(therapist.id, since))


def asked(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /digest: any time, all families or one by name."""
    words = words_for(therapist.language)
    try:
        span, name = span_from(text, now=context.now, zone=context.clinic.zone)
    except SpanProblem:
        context.tell_therapist(therapist, words("page.span_help"))
        return
    if not name:
        context.say_making(event, therapist)
        request(context, therapist, span, kind="reply")
        return
    family = chosen_family(
        context, event, therapist, name, lambda each: verbs.PAGE.data(span, each.id), discharged=True
    )
    if family is not None:
        family_page.show(context, therapist, family, span)


def request(
    context: Context, therapist: Therapist, span: Span, *, kind: Kind, key: str | None = None
) -> None:
    """Ask for a digest: one message with a picture, a button a family, and the document behind it."""
    wanted = DigestRequest(
        therapist=therapist.id, language=therapist.language, span=encoded(span), at=context.now
    )
    context.tell_therapist(therapist, "", kind=kind, key=key, about=Subject("digest"), render=wanted)
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="digest told", now=context.now)


def pressed_pdf(context: Context, event: Event, therapist: Therapist, span: Span, ref: str | None) -> None:
    """Send the document: of one family where the button names one, else of all."""
    family = family_by_ref(context, therapist, ref) if ref else None
    if ref and family is None:
        return
    wanted = DocumentRequest(
        therapist=therapist.id,
        family=family.id if family else None,
        language=therapist.language,
        span=encoded(span),
        at=context.now,
    )
    context.say_making(event, therapist)
    context.tell_therapist(therapist, "", render=wanted)
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="document made", now=context.now)
