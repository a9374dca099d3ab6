"""The weekly digest: when it is due, what it covers, and the one message that brings it."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from bot.digest.canvas import stacked
from bot.digest.chart import caseload_picture, week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.ranking import Ranked, ranked
from bot.digest.text import caseload_text, shown_names
from bot.digest.week import digest_of
from bot.digest.wording import NameOf
from bot.domain.actor import Actor
from bot.domain.outgoing import Attachment, Button, Buttons, Kind
from bot.domain.people import Clinic, Therapist
from bot.features.access.family_lookup import choices, families_named, family_by_ref, ref_of
from bot.features.context import Context
from bot.features.digests import family_page
from bot.features.events import Event
from bot.parsing.period import Instants, Span, SpanProblem, decoded, encoded, span_from
from bot.phrases import Words, words_for
from bot.storage.reports.facts import facts_in, facts_of_families
from scheduling.localtime import instant_for

MOST_DRAWN_WHOLE = 4  # families; a taller picture can not be read on a phone
FAMILIES_A_ROW = 2
MOST_BUTTONS = 90  # the messaging service takes 100 under one message


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


def due_now(context: Context) -> list[str]:
    """Return the therapists whose digest is due, and book the next one of the others.

    One who has no chat yet has none booked: their first digest covers the week before the first day due after they join.
    """
    due: list[str] = []
    for therapist in context.uow.therapists.all():
        due_at = due_for(context.clinic, therapist, context.now) if therapist.chat_id is not None else None
        if due_at is not None and due_at <= context.now:
            due.append(therapist.id)
        elif due_at != therapist.next_digest_at:
            context.uow.therapists.book_digest(therapist.id, due_at)
    return due


def send(context: Context, therapist_id: str) -> None:
    """Send a therapist the digest that is due, once; after an outage one that covers all since the last."""
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
    if not context.uow.digests.note_digest(therapist.id, from_at=from_at, to_at=to_at, now=context.now):
        return
    tell(
        context,
        therapist,
        Instants(from_at, to_at),
        kind="digest",
        key=f"digest:{therapist.id}:{to_at.isoformat()}",
    )


def asked(context: Context, event: Event, therapist: Therapist, text: str) -> None:
    """Answer /digest: any time, all families or one by name."""
    words = words_for(therapist.language)
    try:
        span, name = span_from(text, now=context.now, zone=context.clinic.zone)
    except SpanProblem:
        context.tell_therapist(therapist, words("page.span_help"))
        return
    if not name:
        tell(context, therapist, span, kind="reply")
        return
    found = families_named(context, therapist, name)
    match found:
        case []:
            context.tell_therapist(therapist, words("page.no_such_family", name=name))
        case [family]:
            family_page.show(context, therapist, family, span)
        case _:
            buttons = choices(found, lambda each: family_page.data("page", span, each))
            context.tell_therapist(therapist, words("page.which_family"), buttons=buttons)


def tell(context: Context, therapist: Therapist, span: Span, *, kind: Kind, key: str | None = None) -> None:
    """Say a digest: one message with a picture, a button a family, and the document behind it."""
    words = words_for(therapist.language)
    ranking = ranking_of(context, therapist, span)
    name_of = family_page.names(context, therapist)
    picture = _picture(ranking, therapist, name_of)
    context.tell_therapist(
        therapist,
        caseload_text(ranking, words, name_of),
        kind=kind,
        key=key,
        about="digest",
        buttons=_buttons(ranking, span, words),
        attachment=Attachment("picture", "week.png", content=picture) if picture else None,
    )
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="digest told", now=context.now)


def _picture(ranking: list[Ranked], therapist: Therapist, name_of: NameOf) -> bytes | None:
    """Return the one picture of a digest: of few families every activity by day and side, of many an overview."""
    words = words_for(therapist.language)
    if not ranking:
        return None
    if len(ranking) == 1:
        return week_picture(ranking[0].digest, words, name_of)
    overview = caseload_picture(ranking, words, name_of)
    if len(ranking) > MOST_DRAWN_WHOLE:
        return overview
    return stacked([overview, *(week_picture(one.digest, words, name_of) for one in ranking)])


def ranking_of(context: Context, therapist: Therapist, span: Span) -> list[Ranked]:
    """Compute the digests of a therapist's families, the one that needs them first at the top."""
    since = span.from_at if isinstance(span, Instants) else _midnight(context.clinic, span.first)
    families = context.uow.families.not_discharged_before(therapist.id, since)
    facts = facts_of_families(context.uow, families, context.now, span)
    return ranked([digest_of(each) for each in facts])


def _midnight(clinic: Clinic, local_day: date) -> datetime:
    return instant_for(local_day, time(0), clinic.zone)


def _buttons(ranking: list[Ranked], span: Span, words: Words) -> Buttons:
    names = shown_names(ranking)
    buttons = [
        Button(names[one.family][:24], f"page:{encoded(span)}:{ref_of(one.family)}")
        for one in ranking[:MOST_BUTTONS]
    ]
    rows = [tuple(buttons[i : i + FAMILIES_A_ROW]) for i in range(0, len(buttons), FAMILIES_A_ROW)]
    document = Button(words.plain("page.document_button"), f"pdf:{encoded(span)}")
    return (*rows, (document,)) if ranking else ()


def pressed_pdf(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    """Send the document: of one family where the button names one, else of all."""
    code, _, ref = argument.partition(":")
    span = decoded(code)
    if span is None:
        return
    ranking = ranking_of(context, therapist, span)
    if ref:
        family = family_by_ref(context, therapist, ref)
        if family is None:
            return
        ranking = ranked([digest_of(facts_in(context.uow, family, context.now, span))])
    document = _document(context, therapist, ranking)
    context.tell_therapist(therapist, "", attachment=Attachment("document", "digest.pdf", content=document))
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="document made", now=context.now)


def _document(context: Context, therapist: Therapist, ranking: list[Ranked]) -> bytes:
    return digest_pdf(
        ranking,
        words_for(therapist.language),
        family_page.names(context, therapist),
        as_of=context.now.astimezone(context.clinic.zone),
        paper=paper_for(context.clinic.zone.key),
    )


def document_of(context: Context, therapist: Therapist, span: Span) -> bytes:
    """Return the digest's document."""
    return _document(context, therapist, ranking_of(context, therapist, span))


def picture_of(context: Context, therapist: Therapist, span: Span) -> bytes:
    """Return the digest's picture. Raises ValueError where the therapist has no family."""
    ranking = ranking_of(context, therapist, span)
    picture = _picture(ranking, therapist, family_page.names(context, therapist))
    if picture is None:
        raise ValueError(f"therapist {therapist.id} has no family to draw")
    return picture
