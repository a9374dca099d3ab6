"""Who made a plan, or saw or changed something."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Self

from bot.domain.ids import CarerId, TherapistId

ActorKind = Literal["therapist", "carer", "caseload_file", "server"]


@dataclass(frozen=True, slots=True)
class Actor:
    """id: of the therapist, or of the carer within the family that the row speaks of; empty for the other kinds.

    Kept as "therapist:t1", "carer:c1", "file" (the caseload file) or "server" (the bot by itself, or the clinic's
    command line). Read as well, from earlier versions: "t1" for a therapist, "carer:f1/c1" for a carer, and no value
    at all for the caseload file.
    """

    kind: ActorKind
    id: str = ""

    @classmethod
    def therapist(cls, therapist_id: TherapistId) -> Self:
        return cls("therapist", therapist_id)

    @classmethod
    def carer(cls, carer_id: CarerId) -> Self:
        return cls("carer", carer_id)

    @classmethod
    def from_stored(cls, stored: str | None) -> Self:
        """Return who a stored value names. Raises ValueError for one that no version has written."""
        if stored is None or stored == "file":
            return cls("caseload_file")
        if stored == "server":
            return cls("server")
        kind, colon, name = stored.partition(":")
        if not colon and kind:
            return cls.therapist(TherapistId(kind))
        if kind == "therapist" and name:
            return cls.therapist(TherapistId(name))
        if kind == "carer" and (carer_id := name.rpartition("/")[2]):
            return cls.carer(CarerId(carer_id))
        raise ValueError(f"{stored!r} names nobody: expected therapist:ID, carer:ID, file or server")

    @property
    def stored(self) -> str:
        match self.kind:
            case "caseload_file":
                return "file"
            case "server":
                return "server"
            case _:
                return f"{self.kind}:{self.id}"


CASELOAD_FILE = Actor("caseload_file")
SERVER = Actor("server")
