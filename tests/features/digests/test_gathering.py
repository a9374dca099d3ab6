"""What is read for a digest, a document, a page: few statements, in a transaction of their own."""

from __future__ import annotations

import pickle
from datetime import timedelta

import pytest

from bot.activities.library import load_library
from bot.clock import SteppedClock
from bot.domain.ids import FamilyId, TherapistId
from bot.domain.rendering import (
    CoverDigestRequest,
    DigestRequest,
    DocumentRequest,
    FamiliesRequest,
    PageRequest,
    RenderRequest,
    VisitNoteRequest,
)
from bot.features.routing.render_routes import gather
from bot.features.routing.router import Router
from bot.parsing.period import Instants, encoded
from bot.storage.store import Store
from tests.journeys.conftest import MONDAY
from tests.storage.listening import statements
from tests.storage.test_reports import MOST_STATEMENTS, NOON, lived

SPAN = encoded(Instants(MONDAY - timedelta(days=2), MONDAY + timedelta(days=5)))


def asked_of(families: int) -> list[RenderRequest]:
    return [
        DigestRequest(therapist=TherapistId("t1"), language="en", span=SPAN, at=NOON),
        DocumentRequest(therapist=TherapistId("t1"), family=None, language="en", span=SPAN, at=NOON),
        CoverDigestRequest(away=TherapistId("t1"), language="en", span=SPAN, at=NOON),
        FamiliesRequest(
            therapist=TherapistId("t1"),
            language="en",
            families=tuple(FamilyId(f"g{number:02d}") for number in range(families)),
            group="active",
            others={},
            page=0,
            wanted="",
            at=NOON,
        ),
        PageRequest(family=FamilyId("g00"), language="en", span=SPAN, at=NOON),
        VisitNoteRequest(family=FamilyId("g00"), language="en", span=SPAN, at=NOON),
    ]


@pytest.mark.parametrize("families", [3, 30])
async def test_whatever_gathers_a_caseload_costs_at_most_fifteen_statements(
    store: Store, families: int
) -> None:
    lived(store, families)
    router = Router(SteppedClock(NOON), load_library())
    for request in asked_of(families):
        with statements(store.engine) as asked, store.read() as uow:
            context = router.context(uow)
            assert context is not None
            work = gather(context, request)

        assert work is not None
        assert len(asked) <= MOST_STATEMENTS, (request.kind, len(asked))


async def test_what_was_gathered_can_be_drawn_elsewhere_without_the_database(store: Store) -> None:
    lived(store, 3)
    library = load_library()
    router = Router(SteppedClock(NOON), library)
    works = []
    with store.read() as uow:
        context = router.context(uow)
        assert context is not None
        for request in asked_of(3):
            works.append((request, gather(context, request)))
    store.close()

    for request, work in works:
        assert work is not None
        drawn = pickle.loads(pickle.dumps(work)).draw(library)
        texts = " ".join(each.text for each in drawn)
        assert "Baby 00" in texts or request.kind == "document"
        files = [each.attachment.name for each in drawn if each.attachment is not None]
        assert files == {
            "digest": ["week.png"],
            "document": ["digest.pdf"],
            "page": ["week.png"],
            "visit_note": ["visit-note.pdf"],
        }.get(request.kind, [])


@pytest.mark.parametrize(
    "request_",
    [
        PageRequest(family=FamilyId("nobody"), language="en", span=SPAN, at=NOON),
        PageRequest(family=FamilyId("g00"), language="en", span="?", at=NOON),
        DocumentRequest(
            therapist=TherapistId("t1"), family=FamilyId("nobody"), language="en", span=SPAN, at=NOON
        ),
    ],
)
async def test_a_request_whose_family_is_gone_gathers_nothing(store: Store, request_: RenderRequest) -> None:
    lived(store, 1)
    with store.read() as uow:
        context = Router(SteppedClock(NOON), load_library()).context(uow)
        assert context is not None
        assert gather(context, request_) is None
