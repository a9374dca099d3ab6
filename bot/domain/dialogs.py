"""Where a talk of several steps stands in one chat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.domain.ids import FamilyId
from bot.domain.json_value import JsonValue


@dataclass(frozen=True, slots=True)
class DialogState:
    """step: what the next message answers; None: nothing in particular. data: what that needs, as JSON.

    `text`, `number` and `instant` return None where a name is missing or holds something else.
    """

    step: str | None = None
    data: Mapping[str, JsonValue] = field(default_factory=dict)

    def text(self, name: str) -> str | None:
        value = self.data.get(name)
        return value if isinstance(value, str) else None

    def number(self, name: str) -> int | None:
        value = self.data.get(name)
        return value if isinstance(value, int) and not isinstance(value, bool) else None

    def instant(self, name: str) -> datetime | None:
        """Return an aware instant that was kept in ISO 8601."""
        text = self.text(name)
        return None if text is None else datetime.fromisoformat(text)


@dataclass(frozen=True, slots=True)
class Chat:
    """family_id: the one talked about last, where a chat has several. stranger_told_at: when it heard it is nobody's."""

    dialog: DialogState = DialogState()
    family_id: FamilyId | None = None
    stranger_told_at: datetime | None = None
