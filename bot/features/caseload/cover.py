"""Leave: who covers, from when to when, and back again. The one who is away says it; the cover may decline."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from bot.activities.library import Library
from bot.digest.caseload import caseload_pages
from bot.digest.facts import FamilyFacts
from bot.digest.wording import names_in
from bot.domain.actor import Actor
from bot.domain.ids import TherapistId
from bot.domain.outgoing import Button, Drawn, OutgoingMessage, row
from bot.domain.people import Therapist
from bot.domain.rendering import CoverDigestRequest, DocumentRequest
from bot.features import verbs
from bot.features.access import access
from bot.features.access.family_choice import edit_pressed, say, short
from bot.features.caseload.families_page import MOMENT
from bot.features.caseload.rules import leave_of
from bot.features.context import Context
from bot.features.digests import drawing, send
from bot.features.events import Event, TextWritten
from bot.features.formats import short_day_shown
from bot.parsing.dates import dates_in
from bot.parsing.period import Instants, Span, decoded, encoded
from bot.phrases import Words, words_for

OFFERED_DAYS = (1, 7, 14)
OFFER_FOR = timedelta(days=1)  # a digest of covered families is offered this long after its time


def cover(context: Context, event: Event, therapist: Therapist, asked: str) -> None:
    """/cover: show who covers for whom, and offer to set it."""
    words = words_for(therapist.language)
    lines, buttons = [], []
    stands_in = None if therapist.covered_by is None else context.uow.therapists.find(therapist.covered_by)
    over = therapist.cover_until is not None and therapist.cover_until < access.clinic_day(context)
    if stands_in is not None and not over:
        lines.append(words("cover.is_covered", therapist=stands_in.name, **_span(therapist, words)))
        buttons.append(row(Button(words.plain("cover.end_button"), verbs.COVER_END.data())))
    for away in access.covered_by(context, therapist):
        lines.append(words("cover.you_cover", therapist=away.name, **_span(away, words)))
        buttons.append(_digest_button(away, words))
    colleagues = [each for each in context.uow.therapists.all() if each.id != therapist.id]
    if not colleagues:
        say(context, event, words("cover.alone"))
        return
    lines.append(words("cover.who"))
    buttons += [
        row(Button(short(each.name), verbs.COVER.data(each.id))) for each in colleagues if each.reachable
    ]
    say(context, event, "\n".join(lines), tuple(buttons))


def _span(therapist: Therapist, words: Words) -> dict[str, str]:
    start, end = therapist.cover_from, therapist.cover_until
    return {
        "start": short_day_shown(start, words) if start else "…",
        "end": short_day_shown(end, words) if end else "…",
    }


def _digest_button(away: Therapist, words: Words) -> tuple[Button, ...]:
    return row(
        Button(
            short(words.plain("cover.digest_button", therapist=away.name)), verbs.COVER_DIGEST.data(away.id)
        )
    )


def pressed_cover(context: Context, event: Event, therapist: Therapist, argument: TherapistId) -> None:
    """A colleague was chosen: from when to when?"""
    words = words_for(therapist.language)
    colleague = context.uow.therapists.find(argument)
    if colleague is None or colleague.id == therapist.id:
        say(context, event, words("edge.old_button"))
        return
    context.uow.chats.start_dialog(event.chat_id, "cover", {"by": colleague.id})
    buttons = [
        Button(words.plain("cover.days_button", n=days), verbs.COVER_DAYS.data(colleague.id, days))
        for days in OFFERED_DAYS
    ]
    edit_pressed(context, event, words("cover.when", therapist=colleague.name), (row(*buttons),))


def pressed_days(
    context: Context, event: Event, therapist: Therapist, colleague_id: TherapistId, days: int
) -> None:
    today = access.clinic_day(context)
    if days >= 1 and (leave := leave_of([today + timedelta(days=days - 1)], today)) is not None:
        _begin(context, event, therapist, colleague_id, *leave)


def dates_written(context: Context, event: TextWritten, therapist: Therapist) -> None:
    """The step "cover": two dates, or one up to which."""
    words = words_for(therapist.language)
    dialog = context.uow.chats.get(event.chat_id).dialog
    today = access.clinic_day(context)
    leave = leave_of(dates_in(event.text, today, ahead=True), today)
    if leave is None:
        say(context, event, words("cover.not_read"))
        return
    _begin(context, event, therapist, TherapistId(dialog.text("by") or ""), *leave)


def _begin(
    context: Context, event: Event, therapist: Therapist, colleague_id: TherapistId, start: date, end: date
) -> None:
    colleague = context.uow.therapists.find(colleague_id)
    words = words_for(therapist.language)
    if colleague is None or colleague.id == therapist.id:
        say(context, event, words("edge.old_button"))
        return
    context.uow.chats.end_dialog(event.chat_id)
    context.uow.therapists.set_cover(therapist.id, colleague.id, start, end)
    span = {"start": short_day_shown(start, words), "end": short_day_shown(end, words)}
    say(context, event, words("cover.begun", therapist=colleague.name, **span))
    theirs = words_for(colleague.language)
    span = {"start": short_day_shown(start, theirs), "end": short_day_shown(end, theirs)}
    families = len(context.uow.families.of_therapist(therapist.id))
    context.tell_therapist(
        colleague,
        theirs("cover.asked", therapist=therapist.name, n=families, **span),
        buttons=(
            _digest_button(therapist, theirs),
            row(Button(theirs.plain("cover.decline_button"), verbs.COVER_NO.data(therapist.id))),
        ),
    )
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="cover set",
        now=context.now,
        detail=f"{colleague.id} {start.isoformat()} {end.isoformat()}",
    )


def pressed_end(context: Context, event: Event, therapist: Therapist) -> None:
    """Back from leave: the cover hears no more of these families."""
    words = words_for(therapist.language)
    _end(context, therapist)
    edit_pressed(context, event, words("cover.ended"))
    if therapist.covered_by is not None and (cover := context.uow.therapists.find(therapist.covered_by)):
        context.tell_therapist(cover, words_for(cover.language)("cover.over", therapist=therapist.name))


def pressed_decline(context: Context, event: Event, therapist: Therapist, argument: TherapistId) -> None:
    """The colleague cannot: the one who is away hears it at once, to ask somebody else."""
    away = context.uow.therapists.find(argument)
    words = words_for(therapist.language)
    if away is None or away.covered_by != therapist.id:
        say(context, event, words("edge.old_button"))
        return
    _end(context, away)
    edit_pressed(context, event, words("cover.you_declined", therapist=away.name))
    text = words_for(away.language)("cover.declined", therapist=therapist.name)
    context.tell_therapist(away, text)


def _end(context: Context, therapist: Therapist) -> None:
    context.uow.therapists.end_cover(therapist.id)
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="cover ended", now=context.now)


# ---------------------------------------------------------------- the digest of covered families


def pressed_digest(context: Context, event: Event, therapist: Therapist, argument: TherapistId) -> None:
    """Show the last seven days of the families of a colleague who is away."""
    away = _covered(context, therapist, argument)
    if away is None:
        say(context, event, words_for(therapist.language)("therapist.not_yours"))
        return
    wanted = CoverDigestRequest(
        away=away.id, language=therapist.language, span=encoded(_last_days(context)), at=context.now
    )
    context.say_making(event, therapist)
    context.say(OutgoingMessage(chat_id=event.chat_id, render=wanted))
    context.uow.audit.note(
        who=Actor.therapist(therapist.id), what="digest told", now=context.now, detail=away.id
    )


def _last_days(context: Context) -> Instants:
    return Instants(context.now - timedelta(days=7), context.now + MOMENT)


@dataclass(frozen=True, slots=True)
class CoverDigestWork:
    """What the digest of covered families is written from."""

    request: CoverDigestRequest
    span: Span
    facts: tuple[FamilyFacts, ...]

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        words = words_for(self.request.language)
        ranking = drawing.ranking_of(self.facts)
        pages = caseload_pages(ranking, words, names_in(library, self.request.language))
        drawn = [Drawn(page.text, drawing.family_rows(page, ranking, self.span, words)) for page in pages]
        if ranking:
            document = row(
                Button(words.plain("therapist.document_button"), verbs.COVER_DOCUMENT.data(self.request.away))
            )
            drawn[-1] = replace(drawn[-1], buttons=(*drawn[-1].buttons, document))
        return tuple(drawn)


def gather(context: Context, request: CoverDigestRequest) -> CoverDigestWork | None:
    span = decoded(request.span)
    if span is None:
        return None
    return CoverDigestWork(request, span, drawing.caseload_facts(context, request.away, span))


def pressed_pdf(context: Context, event: Event, therapist: Therapist, argument: TherapistId) -> None:
    away = _covered(context, therapist, argument)
    if away is None:
        say(context, event, words_for(therapist.language)("therapist.not_yours"))
        return
    wanted = DocumentRequest(
        therapist=away.id,
        family=None,
        language=therapist.language,
        span=encoded(_last_days(context)),
        at=context.now,
    )
    context.say_making(event, therapist)
    context.tell_therapist(therapist, "", render=wanted)


def _covered(context: Context, therapist: Therapist, away_id: TherapistId) -> Therapist | None:
    return next((each for each in access.covered_by(context, therapist) if each.id == away_id), None)


def offer_digests(context: Context) -> None:
    """At the time of the weekly digest, offer whoever covers the one of the families they cover."""
    due = send.last_occurrence(context.clinic, context.now)
    if context.now - due > OFFER_FOR:
        return
    on = due.astimezone(context.clinic.zone).date()
    for away in context.uow.therapists.all():
        stands_in = access.cover_of(context, away)
        if stands_in is None or away.cover_on(on) != stands_in.id:
            continue
        words = words_for(stands_in.language)
        context.tell_therapist(
            stands_in,
            words("cover.digest_offer", therapist=away.name),
            kind="digest",
            key=f"coverdigest:{away.id}:{due.isoformat()}",
            buttons=(_digest_button(away, words),),
        )
