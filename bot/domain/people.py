"""The clinic, therapists, families and carers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import UTC, date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

from bot.domain.ids import CarerId, ChatId, FamilyId, TherapistId
from bot.domain.json_value import JsonValue
from bot.phrases import Language
from scheduling.hours import ALWAYS, Hours

# What a therapist who cannot be reached missed is held until they are back.
UNTIL_BACK = datetime(9999, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Numbers:
    """Whom to call: in an emergency, for a doctor or nurse the same day, in a carer's own crisis."""

    emergency_line: str
    nurse_line: str
    crisis_line: str

    def fields(self) -> dict[str, str]:
        """Return the numbers as fields of a phrase."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Clinic:
    """crisis_line: for a carer in a crisis; the emergency line where the clinic names no other."""

    name: str
    zone: ZoneInfo
    emergency_line: str
    nurse_line: str
    crisis_line: str
    digest_weekday: int  # Monday 0
    digest_at: time


@dataclass(frozen=True, slots=True)
class Therapist:
    id: TherapistId
    chat_id: ChatId | None
    name: str
    language: Language
    quiet_from: str | None
    quiet_to: str | None
    covered_by: TherapistId | None
    cover_from: date | None
    cover_until: date | None
    digest_until: datetime | None
    next_digest_at: datetime | None
    unreachable: bool = False
    left_at: datetime | None = None

    @property
    def address(self) -> ChatId:
        """The chat in which they are written to. Raises LookupError where they have none yet."""
        if self.chat_id is None:
            raise LookupError(f"therapist {self.id} has no chat")
        return self.chat_id

    @property
    def reachable(self) -> bool:
        return self.chat_id is not None and not self.unreachable

    def cover_on(self, day: date) -> TherapistId | None:
        """Return the id of who covers for this therapist on a local day of the clinic."""
        begun = self.cover_from is None or self.cover_from <= day
        over = self.cover_until is not None and self.cover_until < day
        return self.covered_by if begun and not over else None


@dataclass(frozen=True, slots=True)
class Family:
    """emergency_line, nurse_line, crisis_line: whom this family calls; None where it calls the clinic's."""

    id: FamilyId
    therapist_id: TherapistId
    nickname: str
    zone: ZoneInfo
    state: Literal["active", "paused", "discharged"]
    paused_until: datetime | None
    asleep_until: datetime | None
    hold_until: datetime | None
    rest_until: datetime | None
    budget: int | None
    asked_load: int
    budget_on: date | None
    heard_at: datetime | None
    kind_note_at: datetime | None
    silence_told_at: datetime | None
    group_allowed: bool
    shape_told_at: datetime | None
    shape_draft: Mapping[str, JsonValue] | None
    home_zone: str | None
    away_until: date | None
    reminder_hours: Hours = ALWAYS
    keeps_times: bool = False
    emergency_line: str | None = None
    nurse_line: str | None = None
    crisis_line: str | None = None

    @property
    def away(self) -> bool:
        """Whether they are on a trip that they told of."""
        return self.home_zone is not None

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(self.zone)


@dataclass(frozen=True, slots=True)
class Carer:
    family_id: FamilyId
    id: CarerId
    chat_id: ChatId | None
    name: str
    role: str
    language: Language
    state: Literal["invited", "joining", "active", "left"]
    gets_prompts: bool
    off_duty_until: datetime | None
    on_duty_until: datetime | None
    blocked: bool
    left_at: datetime | None = None
    put_out: bool = False
    taught: Mapping[str, str] = field(default_factory=dict, compare=False)
    """Activities that the therapist showed them and saw them do, each with its ISO date."""

    @property
    def address(self) -> ChatId:
        """The chat in which they are written to. Raises LookupError where they have none yet."""
        if self.chat_id is None:
            raise LookupError(f"carer {self.family_id}/{self.id} has no chat")
        return self.chat_id


def language_from(stored: str) -> Language:
    """Return the language that a stored code names; English for one that is not known."""
    return "es" if stored == "es" else "en"
