"""Which part of the features makes what a request asks for: it reads what is needed, and draws it later from that."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from bot.activities.library import Library
from bot.domain.outgoing import Drawn
from bot.domain.rendering import (
    CopyRequest,
    CoverDigestRequest,
    DigestRequest,
    DocumentRequest,
    FamiliesRequest,
    PageRequest,
    PreviewRequest,
    RenderRequest,
    SheetRequest,
    SummaryRequest,
    TrialRequest,
    VisitNoteRequest,
    WeekRequest,
)
from bot.features.caseload import cover, discharge, families_page
from bot.features.context import Context
from bot.features.digests import drawing, family_drawing
from bot.features.plan import preview, trying
from bot.features.privacy import export_copy
from bot.features.visits import handout


class Work(Protocol):
    """What was read for a request. It goes to another process as it is, so it holds values alone."""

    def draw(self, library: Library) -> tuple[Drawn, ...]:
        """Return the messages, at least one."""


GATHER: Mapping[type, Callable[[Context, Any], Work | None]] = {
    DigestRequest: drawing.gather_digest,
    DocumentRequest: drawing.gather_document,
    PageRequest: family_drawing.gather_page,
    VisitNoteRequest: family_drawing.gather_visit_note,
    WeekRequest: family_drawing.gather_week,
    CoverDigestRequest: cover.gather,
    FamiliesRequest: families_page.gather,
    SummaryRequest: discharge.gather,
    PreviewRequest: preview.gather,
    TrialRequest: trying.gather,
    SheetRequest: handout.gather,
    CopyRequest: export_copy.gather,
}


def gather(context: Context, request: RenderRequest) -> Work | None:
    """Read what a request is made from, as of `context.now`; None where its family is there no more."""
    return GATHER[type(request)](context, request)
