"""The tables, by job. Instants are UTC; local dates and times say so; what is told of people is sealed.

Names: a *message* is what a person wrote; a *session* is minutes of one activity that a carer logged; a
*reminder* is one prompt of a family's day; the *inbox* holds what the messaging service handed over, the
*outbox* what must be said.
"""

from bot.storage.tables.base import Base, Instant
from bot.storage.tables.edge import inbox, leases, outbox
from bot.storage.tables.learned import sightings, suggestions
from bot.storage.tables.log import confidences, messages, observations, sessions, skips
from bot.storage.tables.people import (
    carers,
    chats,
    clinics,
    families,
    handovers,
    invitations,
    lookup_keys,
    therapists,
)
from bot.storage.tables.plans import materials, plan_drafts, plans, reminders, visits
from bot.storage.tables.reports import audit, digests, grades, notes
from bot.storage.tables.threads import answers, concerns, hold_notes, questions, unseen_spells

metadata = Base.metadata

__all__ = [
    "Instant",
    "answers",
    "audit",
    "carers",
    "chats",
    "clinics",
    "concerns",
    "confidences",
    "digests",
    "families",
    "grades",
    "handovers",
    "hold_notes",
    "inbox",
    "invitations",
    "leases",
    "lookup_keys",
    "materials",
    "messages",
    "metadata",
    "notes",
    "observations",
    "outbox",
    "plan_drafts",
    "plans",
    "questions",
    "reminders",
    "sessions",
    "sightings",
    "skips",
    "suggestions",
    "therapists",
    "unseen_spells",
    "visits",
]
