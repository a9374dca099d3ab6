"""A request comes back from its JSON as it went in."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest

from bot.domain import rendering
from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.domain.rendering import RenderRequest, request_as_json, request_from

AT = datetime(2026, 3, 8, 21, 0, 0, 123456, tzinfo=UTC)

REQUESTS: list[RenderRequest] = [
    rendering.DigestRequest(therapist=TherapistId("t1"), language="en", span="a.b", at=AT),
    rendering.DocumentRequest(therapist=TherapistId("t1"), family=None, language="es", span="a-b", at=AT),
    rendering.DocumentRequest(
        therapist=TherapistId("t1"), family=FamilyId("f1"), language="es", span="a-b", at=AT
    ),
    rendering.PageRequest(family=FamilyId("f1"), language="en", span="a.b", at=AT),
    rendering.VisitNoteRequest(family=FamilyId("f1"), language="en", span="a.b", at=AT),
    rendering.WeekRequest(family=FamilyId("f1"), language="es", at=AT),
    rendering.CoverDigestRequest(away=TherapistId("t2"), language="en", span="a.b", at=AT),
    rendering.FamiliesRequest(
        therapist=TherapistId("t1"),
        language="en",
        families=(FamilyId("f1"), FamilyId("f2")),
        group="active",
        others={"paused": 3, "discharged": 0},
        page=2,
        wanted="Inés",
        at=AT,
    ),
    rendering.SummaryRequest(family=FamilyId("f1"), language="en", form="text", at=AT),
    rendering.PreviewRequest(
        family=FamilyId("f1"), language="en", draft=7, plan={"activities": [{"x": 1.5}]}, changed=True, at=AT
    ),
    rendering.TrialRequest(
        family=FamilyId("f1"), language="es", draft=7, plan={"activities": []}, changed=False, at=AT
    ),
    rendering.SheetRequest(family=FamilyId("f1"), language="es", name="plan.pdf", at=AT),
    rendering.CopyRequest(
        family=FamilyId("f1"), carer=CarerId("c1"), language="es", form="data", whole_family=False, at=AT
    ),
]


def test_every_kind_of_request_is_tried_here() -> None:
    assert {type(each) for each in REQUESTS} == set(RenderRequest.__args__)


@pytest.mark.parametrize("request_", REQUESTS, ids=lambda each: each.kind)
def test_a_request_comes_back_from_its_json(request_: RenderRequest) -> None:
    assert request_from(json.loads(json.dumps(request_as_json(request_)))) == request_


@pytest.mark.parametrize("document", [{}, {"kind": "poster"}, {"kind": "page", "family": "f1"}, None])
def test_what_is_no_request_is_refused(document: object) -> None:
    with pytest.raises(ValueError, match="validation error"):
        request_from(document)
