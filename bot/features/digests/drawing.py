"""A caseload's digest and the document behind it: what is read for them, and how they are drawn from that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.canvas import stacked
from bot.digest.chart import caseload_picture, week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.facts import FamilyFacts
from bot.digest.ranking import Ranked, ranked
from bot.digest.text import caseload_messages, shown_names
from bot.digest.week import digest_of
from bot.digest.wording import NameOf, names_in
from bot.domain.ids import TherapistId
from bot.domain.outgoing import Attachment, Button, Buttons, Drawn
from bot.domain.people import Clinic
from bot.domain.rendering import DigestRequest, DocumentRequest
from bot.features import verbs
from bot.features.context import Context
from bot.parsing.period import Instants, Span, decoded
from bot.phrases import Words, words_for
from bot.storage.reports.facts import facts_of_families
from scheduling.localtime import instant_for

MOST_DRAWN_WHOLE = 4  # families; a taller picture can not be read on a phone
FAMILIES_A_ROW = 2
MOST_BUTTONS = 90  # the messaging service takes 100 under one message


def caseload_facts(context: Context, therapist_id: TherapistId, span: Span) -> tuple[FamilyFacts, ...]:
    """Read the facts of a therapist's families, those left out that were discharged before the time."""
    since = span.from_at if isinstance(span, Instants) else _midnight(context.clinic, span.first)
    families = context.uow.families.not_discharged_before(therapist_id, since)
    return tuple(facts_of_families(context.uow, families, context.now, span))


def _midnight(clinic: Clinic, local_day: date) -> datetime:
    return instant_for(local_day, time(0), clinic.zone)


def ranking_of(facts: Sequence[FamilyFacts]) -> list[Ranked]:
    """Compute the digests of families, the one that needs the therapist first at the top."""
    return ranked([digest_of(each) for each in facts])


@dataclass(frozen=True, slots=True)
class DigestWork:
    """What a digest is drawn from."""

    request: DigestRequest
    span: Span
    facts: tuple[FamilyFacts, ...]

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return the digest with a picture, a button a family and the document's; long ones go on in further messages."""
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        ranking = ranking_of(self.facts)
        picture = _picture(ranking, words, name_of)
        texts = caseload_messages(ranking, words, name_of)
        drawn = [Drawn(text) for text in texts]
        if picture:
            drawn[0] = replace(drawn[0], attachment=Attachment("picture", "week.png", content=picture))
        drawn[-1] = replace(drawn[-1], buttons=_buttons(ranking, self.span, words))
        return tuple(drawn)


def gather_digest(context: Context, request: DigestRequest) -> DigestWork | None:
    span = decoded(request.span)
    if span is None:
        return None
    return DigestWork(request, span, caseload_facts(context, request.therapist, span))


def _picture(ranking: Sequence[Ranked], words: Words, name_of: NameOf) -> bytes | None:
    """Return the one picture of a digest: of few families every activity by day and side, of many an overview."""
    if not ranking:
        return None
    if len(ranking) == 1:
        return week_picture(ranking[0].digest, words, name_of)
    overview = caseload_picture(ranking, words, name_of)
    if len(ranking) > MOST_DRAWN_WHOLE:
        return overview
    return stacked([overview, *(week_picture(one.digest, words, name_of) for one in ranking)])


def _buttons(ranking: Sequence[Ranked], span: Span, words: Words) -> Buttons:
    names = shown_names(ranking)
    buttons = [
        Button(names[one.family][:24], verbs.PAGE.data(span, one.family)) for one in ranking[:MOST_BUTTONS]
    ]
    rows = [tuple(buttons[i : i + FAMILIES_A_ROW]) for i in range(0, len(buttons), FAMILIES_A_ROW)]
    document = Button(words.plain("page.document_button"), verbs.DOCUMENT.data(span, None))
    return (*rows, (document,)) if ranking else ()


@dataclass(frozen=True, slots=True)
class DocumentWork:
    """What a document is set from. zone: the clinic's."""

    request: DocumentRequest
    facts: tuple[FamilyFacts, ...]
    zone: str

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        language = self.request.language
        content = digest_pdf(
            ranking_of(self.facts),
            words_for(language),
            names_in(library, language),
            as_of=self.request.at.astimezone(ZoneInfo(self.zone)),
            paper=paper_for(self.zone),
        )
        return (Drawn(attachment=Attachment("document", "digest.pdf", content=content)),)


def gather_document(context: Context, request: DocumentRequest) -> DocumentWork | None:
    span = decoded(request.span)
    if span is None:
        return None
    if request.family is None:
        facts = caseload_facts(context, request.therapist, span)
    else:
        family = context.uow.families.find(request.family)
        if family is None:
            return None
        facts = tuple(facts_of_families(context.uow, [family], context.now, span))
    return DocumentWork(request, facts, context.clinic.zone.key)
