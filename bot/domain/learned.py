"""A change of the told day that a family was asked about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Literal, cast

from bot.domain.ids import FamilyId
from bot.domain.json_value import JsonValue
from bot.domain.subject import Subject
from scheduling.learned.suggestion import Asked, Evidence, Suggestion

SuggestionState = Literal["asked", "yes", "no", "other"]
"""yes: the day was changed. no: it was left. other: the carer told other times. asked: nobody answered yet."""


@dataclass(frozen=True, slots=True)
class AskedSuggestion:
    """local_date: the family's date on which it was asked."""

    id: int
    family_id: FamilyId
    local_date: date
    suggestion: Suggestion
    state: SuggestionState

    @property
    def about(self) -> Subject:
        return Subject.of("suggestion", self.id)

    @property
    def as_asked(self) -> Asked:
        found = self.suggestion
        return Asked(self.local_date, found.field, found.from_value, found.to_value)


def suggestion_as_json(found: Suggestion) -> dict[str, JsonValue]:
    return cast("dict[str, JsonValue]", asdict(found))


def suggestion_from_json(stored: Mapping[str, Any]) -> Suggestion:
    """Return the suggestion that `suggestion_as_json` wrote; lists may stand for tuples."""
    values = {name: _tuples(value) for name, value in stored.items() if name != "evidence"}
    return Suggestion(**values, evidence=Evidence(**stored["evidence"]))


def _tuples(value: object) -> Any:
    return tuple(_tuples(each) for each in value) if isinstance(value, list | tuple) else value
