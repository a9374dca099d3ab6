"""A caseload's digest and the document behind it: what is read for them, and how they are drawn from that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from bot.activities.library import Library
from bot.digest.canvas import stacked
from bot.digest.caseload import FEW_FAMILIES, CaseloadPage, caseload_pages, shown_names
from bot.digest.chart import caseload_picture, week_picture
from bot.digest.document import digest_pdf, paper_for
from bot.digest.facts import FamilyFacts
from bot.digest.figures import FamilyDigest
from bot.digest.ranking import Ranked, ranked
from bot.digest.week import digest_of
from bot.digest.wording import NameOf, names_in
from bot.domain.ids import FamilyId, TherapistId
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
MOST_ROWS = 45  # of at most two; the messaging service takes 100 buttons under one message
LONGEST_LABEL = 24


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
        """Return the digest page by page, the picture with the first, and under each the buttons of its families."""
        words, name_of = words_for(self.request.language), names_in(library, self.request.language)
        ranking = ranking_of(self.facts)
        picture = _picture(ranking, words, name_of)
        pages = caseload_pages(ranking, words, name_of)
        drawn = [Drawn(page.text, family_rows(page, ranking, self.span, words)) for page in pages]
        if picture:
            drawn[0] = replace(drawn[0], attachment=Attachment("picture", "week.png", content=picture))
        if ranking:
            last = _last_row(self.span, words, whole=len(ranking) <= FEW_FAMILIES)
            drawn[-1] = replace(drawn[-1], buttons=(*drawn[-1].buttons, last))
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


def family_rows(page: CaseloadPage, ranking: Sequence[Ranked], span: Span, words: Words) -> Buttons:
    """Return the buttons of a page's families: whoever waits for the therapist on a row of their own, with what is open."""
    names, digests = shown_names(ranking), {one.family: one.digest for one in ranking}
    waiting = {family: _waiting(digests[family]) for family in page.families}

    def of(family: str) -> Button:
        return Button(names[family][:LONGEST_LABEL], verbs.PAGE.data(span, FamilyId(family)))

    rows = [
        (of(family), Button(words.plain("caseload.open_button", n=count), verbs.OPEN.data(FamilyId(family))))
        for family, count in waiting.items()
        if count
    ]
    others = [of(family) for family, count in waiting.items() if not count]
    rest = [tuple(others[i : i + FAMILIES_A_ROW]) for i in range(0, len(others), FAMILIES_A_ROW)]
    return (*rows, *rest)[:MOST_ROWS]


def _waiting(digest: FamilyDigest) -> int:
    concerns = sum(concern.waits for concern in digest.concerns)
    return concerns + sum(question.answered_at is None for question in digest.questions)


def _last_row(span: Span, words: Words, *, whole: bool) -> tuple[Button, ...]:
    document = Button(words.plain("page.document_button"), verbs.DOCUMENT.data(span, None))
    if whole:
        return (document,)
    return (Button(words.plain("caseload.all_button"), verbs.ALL_FAMILIES.data()), document)


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
