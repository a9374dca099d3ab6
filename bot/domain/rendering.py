"""What is to be drawn or set for a message: asked for in the transaction of a handler, made outside of any.

A request is kept as JSON with the message that waits for it. It names whose facts are read, not the facts: whoever makes
it reads them then, so that what was erased in between is not in it. `at` is the moment it was asked for, `span` a
time as bot.parsing.period encodes it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter

from bot.domain.ids import CarerId, FamilyId, TherapistId
from bot.phrases import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class DigestRequest:
    """A therapist's caseload: text, a button a family, one picture."""

    therapist: TherapistId
    language: Language
    span: str
    at: datetime
    kind: Literal["digest"] = "digest"


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentRequest:
    """The document behind a digest: of one family where it is named, else of a therapist's caseload."""

    therapist: TherapistId
    family: FamilyId | None
    language: Language
    span: str
    at: datetime
    kind: Literal["document"] = "document"


@dataclass(frozen=True, slots=True, kw_only=True)
class PageRequest:
    """One family's page: its picture, then its text with the buttons under the last part."""

    family: FamilyId
    language: Language
    span: str
    at: datetime
    kind: Literal["page"] = "page"


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitNoteRequest:
    """A family's visit note: text to paste, and a page to print."""

    family: FamilyId
    language: Language
    span: str
    at: datetime
    kind: Literal["visit_note"] = "visit_note"


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekRequest:
    """The family's own picture of its last seven days."""

    family: FamilyId
    language: Language
    at: datetime
    kind: Literal["week"] = "week"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverDigestRequest:
    """The caseload of a colleague who is away, for whoever covers."""

    away: TherapistId
    language: Language
    span: str
    at: datetime
    kind: Literal["cover_digest"] = "cover_digest"


@dataclass(frozen=True, slots=True, kw_only=True)
class FamiliesRequest:
    """One page of the list of families. others: how many families each other group holds."""

    therapist: TherapistId
    language: Language
    families: tuple[FamilyId, ...]
    group: Literal["active", "paused", "discharged"]
    others: Mapping[str, int]
    page: int
    wanted: str
    at: datetime
    kind: Literal["families"] = "families"


@dataclass(frozen=True, slots=True, kw_only=True)
class SummaryRequest:
    """What a therapist gets of a family that is discharged: the whole time as text, the last weeks as a document."""

    family: FamilyId
    language: Language
    form: Literal["document", "text"]
    at: datetime
    kind: Literal["summary"] = "summary"


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRequest:
    """What is asked of a draft. plan: its document as it stood. changed: it differs from the plan in force, and may be sent."""

    family: FamilyId
    language: Language
    draft: int
    plan: Mapping[str, Any]
    changed: bool
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewRequest(DraftRequest):
    """A draft's next days, drawn or in words."""

    picture: bool = False
    kind: Literal["preview"] = "preview"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRequest(DraftRequest):
    """Weeks of invented families under a draft."""

    kind: Literal["trial"] = "trial"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRequest:
    """The fridge sheet of the plan in force. name: of the file."""

    family: FamilyId
    language: Language
    name: str
    at: datetime
    kind: Literal["sheet"] = "sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyRequest:
    """A carer's copy of what is kept. form: a page to read, or the data for another program."""

    family: FamilyId
    carer: CarerId
    language: Language
    form: Literal["page", "data"]
    whole_family: bool
    at: datetime
    kind: Literal["copy"] = "copy"


RenderRequest = (
    DigestRequest
    | DocumentRequest
    | PageRequest
    | VisitNoteRequest
    | WeekRequest
    | CoverDigestRequest
    | FamiliesRequest
    | SummaryRequest
    | PreviewRequest
    | TrialRequest
    | SheetRequest
    | CopyRequest
)

_codec: TypeAdapter[RenderRequest] = TypeAdapter(Annotated[RenderRequest, Field(discriminator="kind")])


def request_as_json(request: RenderRequest) -> dict[str, Any]:
    return dict(_codec.dump_python(request, mode="json"))


def request_from(document: Any) -> RenderRequest:
    """Return the request that `request_as_json` wrote. Raises pydantic.ValidationError (a ValueError) for anything else."""
    return _codec.validate_python(document)
