"""How long what a clinic keeps is kept, by its settings."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Keeping:
    """Days; None: as long as the family is here.

    messages: what carers and therapists wrote. log: minutes, skips, what was seen, reminders, visits. concerns: those that a
    therapist has dealt with; others stay. strangers: that a chat of nobody wrote once. discharged: a family after its discharge.
    """

    messages: int | None = None
    log: int | None = None
    concerns: int | None = None
    strangers: int | None = None
    discharged: int | None = None


FOR_EVER = Keeping()
