"""What a message is about, so that a reply to it finds its way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Self, TypeGuard, get_args

from bot.domain.ids import CarerId, FamilyId

NumberedKind = Literal[
    "concern", "confidence", "draft", "letter", "material", "message", "plan", "question", "reminder", "session",
    "suggestion", "visit",
]  # fmt: skip
NamedKind = Literal["answer", "card", "family"]
SingleKind = Literal["digest", "erased", "load", "materials"]
SubjectKind = NumberedKind | NamedKind | SingleKind


@dataclass(frozen=True, slots=True)
class Subject:
    """key: a row's number ("reminder", "plan": the version, …), an activity ("card"), FAMILY/CARER ("family", where no
    carer means all of them), or what a thread began with ("answer"); empty for kinds of which there is one.

    "session" is a log entry. Kept as "KIND:KEY", or "KIND" where there is no key.
    """

    kind: SubjectKind
    key: str = ""

    @classmethod
    def of(cls, kind: NumberedKind, number: int) -> Self:
        return cls(kind, str(number))

    @classmethod
    def card(cls, activity: str) -> Self:
        return cls("card", activity)

    @classmethod
    def family(cls, family_id: FamilyId, carer_id: CarerId | None = None) -> Self:
        return cls("family", f"{family_id}/{carer_id or ''}")

    @classmethod
    def answer_in(cls, thread: Subject) -> Self:
        """Return what an answer is about. thread: a concern, a question or a letter."""
        return cls("answer", thread.stored)

    @classmethod
    def from_stored(cls, stored: str | None) -> Self | None:
        """Return what a stored value names; None where it names nothing that is known."""
        kind, colon, key = (stored or "").partition(":")
        if _is_numbered(kind):
            return cls(kind, key) if key.isdecimal() and key.isascii() else None
        if _is_named(kind):
            return cls(kind, key) if key else None
        return cls(kind) if _is_single(kind) and not colon else None

    @property
    def stored(self) -> str:
        return f"{self.kind}:{self.key}" if self.key else self.kind

    @property
    def number(self) -> int:
        """The row's number. Raises ValueError for a kind without one."""
        return int(self.key)

    @property
    def family_id(self) -> FamilyId:
        """The family of a "family"."""
        return FamilyId(self.key.partition("/")[0])

    @property
    def carer_id(self) -> CarerId | None:
        """The carer of a "family"; None: all of its carers."""
        carer_id = self.key.partition("/")[2]
        return CarerId(carer_id) if carer_id else None

    @property
    def thread(self) -> Subject | None:
        """What the thread of an "answer" began with."""
        return Subject.from_stored(self.key) if self.kind == "answer" else None


def _is_numbered(kind: str) -> TypeGuard[NumberedKind]:
    return kind in get_args(NumberedKind)


def _is_named(kind: str) -> TypeGuard[NamedKind]:
    return kind in get_args(NamedKind)


def _is_single(kind: str) -> TypeGuard[SingleKind]:
    return kind in get_args(SingleKind)
