"""What the bot did by itself, for the digest."""

from __future__ import annotations

from typing import Literal

NoteKind = Literal["load", "quiet", "pause", "resume", "held", "go_on", "best_hour"]
"""And the data of each: load: {"before", "after", "asked"}, reminders a day and whether a carer asked; quiet: {"days"}
without a word; pause: {"until"} in seconds since 1970, 0 where the carer named no end; resume: {};
held, go_on: {"n"} activities that an arm concern held, or that a therapist let go on;
best_hour: {"hour", "answered", "asked"}, the hour of the clock at which a family mostly takes reminders up."""
