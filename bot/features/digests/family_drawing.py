"""One family's page, visit note and own week: what is read for them, and how they are drawn from that."""

from __future__ import annotations

import html
from dataclasses import dataclass
from datetime import timedelta
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.chart import week_picture
from bot.digest.document import paper_for, visit_note_pdf
from bot.digest.exchange import visit_note_text
from bot.digest.facts import FamilyFacts
from bot.digest.family_picture import family_week_picture
from bot.digest.text import family_text
from bot.digest.week import digest_of
from bot.digest.wording import names_in
from bot.domain.ids import FamilyId
from bot.domain.outgoing import Attachment, Button, Buttons, Drawn, row
from bot.domain.rendering import PageRequest, VisitNoteRequest, WeekRequest
from bot.features import verbs
from bot.features.context import Context
from bot.parsing.period import Dates, Span, decoded
from bot.phrases import Words, words_for
from bot.storage.reports.facts import facts_in

DAYS = 7


@dataclass(frozen=True, slots=True)
class PageWork:
    """What a family's page is drawn from."""

    request: PageRequest
    span: Span
    facts: FamilyFacts

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return the picture, then the text with the buttons under its last part."""
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        digest = digest_of(self.facts)
        picture = Attachment("picture", "week.png", content=week_picture(digest, words, name_of))
        *before, last = family_text(digest, words, name_of)
        return (
            Drawn(attachment=picture),
            *(Drawn(page) for page in before),
            Drawn(last, _buttons(self.span, self.request.family, words)),
        )


def gather_page(context: Context, request: PageRequest) -> PageWork | None:
    span = decoded(request.span)
    facts = _facts(context, request.family, span)
    return None if facts is None or span is None else PageWork(request, span, facts)


def _facts(context: Context, family_id: FamilyId, span: Span | None) -> FamilyFacts | None:
    family = context.uow.families.find(family_id)
    if family is None or span is None:
        return None
    return facts_in(context.uow, family, context.now, span)


def _buttons(span: Span, family: FamilyId, words: Words) -> Buttons:
    return (
        row(
            Button(words.plain("page.where_button"), verbs.FROM.data(span, family)),
            Button(words.plain("page.note_button"), verbs.NOTE.data(span, family)),
        ),
        row(
            Button(words.plain("page.document_button"), verbs.DOCUMENT.data(span, family)),
            Button(words.plain("page.table_button"), verbs.TABLE.data(span, family)),
        ),
        row(
            Button(words.plain("page.record_button"), verbs.RECORD.data(span, family)),
            Button(words.plain("page.visits_button"), verbs.VISITS.data(family)),
        ),
        row(Button(words.plain("page.sheet_button"), verbs.HANDOUT.data(family))),
    )


@dataclass(frozen=True, slots=True)
class VisitNoteWork:
    """What a visit note is written from. zone: the clinic's."""

    request: VisitNoteRequest
    facts: FamilyFacts
    zone: str

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return text to paste, and a page to print."""
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        digest = digest_of(self.facts)
        page = visit_note_pdf(
            [digest],
            words,
            name_of,
            as_of=self.request.at.astimezone(ZoneInfo(self.zone)),
            paper=paper_for(self.zone),
        )
        text = html.escape(visit_note_text(digest, words, name_of), quote=False)
        return Drawn(text), Drawn(attachment=Attachment("document", "visit-note.pdf", content=page))


def gather_visit_note(context: Context, request: VisitNoteRequest) -> VisitNoteWork | None:
    facts = _facts(context, request.family, decoded(request.span))
    return None if facts is None else VisitNoteWork(request, facts, context.clinic.zone.key)


@dataclass(frozen=True, slots=True)
class WeekWork:
    """What the family's own picture is drawn from."""

    request: WeekRequest
    facts: FamilyFacts

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        picture = family_week_picture(digest_of(self.facts), words, name_of=name_of)
        return (Drawn(attachment=Attachment("picture", "week.png", content=picture)),)


def gather_week(context: Context, request: WeekRequest) -> WeekWork | None:
    family = context.uow.families.find(request.family)
    if family is None:
        return None
    today = family.local(context.now).date()
    span = Dates(today - timedelta(days=DAYS - 1), today)
    return WeekWork(request, facts_in(context.uow, family, context.now, span))
