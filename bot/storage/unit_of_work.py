"""One transaction, and the repositories that work in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property

from sqlalchemy import Connection

from bot.storage.prepared import say
from bot.storage.repositories.answers import Answers
from bot.storage.repositories.audit import AuditLog
from bot.storage.repositories.carers import Carers
from bot.storage.repositories.chats import Chats
from bot.storage.repositories.clinics import Clinics
from bot.storage.repositories.concerns import Concerns
from bot.storage.repositories.confidence_ratings import ConfidenceRatings
from bot.storage.repositories.deliveries import Deliveries
from bot.storage.repositories.digests import Digests
from bot.storage.repositories.drafts import Drafts
from bot.storage.repositories.entries import Entries
from bot.storage.repositories.families import Families
from bot.storage.repositories.handovers import Handovers
from bot.storage.repositories.hold_notes import HoldNotes
from bot.storage.repositories.inbox import Inbox
from bot.storage.repositories.invitations import Invitations
from bot.storage.repositories.learned import Learned
from bot.storage.repositories.leases import Leases
from bot.storage.repositories.media import Media
from bot.storage.repositories.messages import Messages
from bot.storage.repositories.notes import Notes
from bot.storage.repositories.observations import Observations
from bot.storage.repositories.outbox import Outbox
from bot.storage.repositories.plans import Plans
from bot.storage.repositories.questions import Questions
from bot.storage.repositories.reminders import Reminders
from bot.storage.repositories.renderings import Renderings
from bot.storage.repositories.scale_scores import ScaleScores
from bot.storage.repositories.standing import StandingMessages
from bot.storage.repositories.therapists import Therapists
from bot.storage.repositories.visits import Visits


class UnitOfWork:
    """One open transaction. Each repository is made when it is first asked for.

    conn: the connection, for the reports and imports of this package alone.
    """

    def __init__(self, conn: Connection) -> None:
        self.conn = conn
        # Whether something was erased: the journal must then be emptied after the commit.
        self.erased = False
        # What happened, as (figure, which of its kinds): for whoever watches, once it is committed.
        self.tally: Counter[tuple[str, str]] = Counter()

    @contextmanager
    def savepoint(self) -> Iterator[None]:
        """Open a part of this transaction that an exception takes back alone."""
        # Said ourselves: what SQLAlchemy does around its own costs as much as twenty queries, for every update.
        say(self.conn, "SAVEPOINT part")
        told = self.tally.copy()
        try:
            yield
        except BaseException:
            self.tally = told
            say(self.conn, "ROLLBACK TO SAVEPOINT part")
            say(self.conn, "RELEASE SAVEPOINT part")
            raise
        say(self.conn, "RELEASE SAVEPOINT part")

    def rows_changed(self) -> int | None:
        """Return how many rows this connection has changed so far; None where the database does not count them."""
        return getattr(self.conn.connection.driver_connection, "total_changes", None)

    @cached_property
    def answers(self) -> Answers:
        return Answers(self.conn)

    @cached_property
    def audit(self) -> AuditLog:
        return AuditLog(self.conn)

    @cached_property
    def carers(self) -> Carers:
        return Carers(self.conn)

    @cached_property
    def chats(self) -> Chats:
        return Chats(self.conn)

    @cached_property
    def clinics(self) -> Clinics:
        return Clinics(self.conn)

    @cached_property
    def concerns(self) -> Concerns:
        return Concerns(self.conn)

    @cached_property
    def confidence_ratings(self) -> ConfidenceRatings:
        return ConfidenceRatings(self.conn)

    @cached_property
    def deliveries(self) -> Deliveries:
        return Deliveries(self.conn)

    @cached_property
    def digests(self) -> Digests:
        return Digests(self.conn)

    @cached_property
    def drafts(self) -> Drafts:
        return Drafts(self.conn)

    @cached_property
    def entries(self) -> Entries:
        return Entries(self.conn)

    @cached_property
    def families(self) -> Families:
        return Families(self.conn)

    @cached_property
    def handovers(self) -> Handovers:
        return Handovers(self.conn)

    @cached_property
    def hold_notes(self) -> HoldNotes:
        return HoldNotes(self.conn)

    @cached_property
    def inbox(self) -> Inbox:
        return Inbox(self.conn)

    @cached_property
    def invitations(self) -> Invitations:
        return Invitations(self.conn)

    @cached_property
    def learned(self) -> Learned:
        return Learned(self.conn)

    @cached_property
    def leases(self) -> Leases:
        return Leases(self.conn)

    @cached_property
    def media(self) -> Media:
        return Media(self.conn)

    @cached_property
    def messages(self) -> Messages:
        return Messages(self.conn)

    @cached_property
    def notes(self) -> Notes:
        return Notes(self.conn)

    @cached_property
    def observations(self) -> Observations:
        return Observations(self.conn)

    @cached_property
    def outbox(self) -> Outbox:
        return Outbox(self.conn)

    @cached_property
    def plans(self) -> Plans:
        return Plans(self.conn)

    @cached_property
    def questions(self) -> Questions:
        return Questions(self.conn)

    @cached_property
    def reminders(self) -> Reminders:
        return Reminders(self.conn)

    @cached_property
    def renderings(self) -> Renderings:
        return Renderings(self.conn)

    @cached_property
    def scale_scores(self) -> ScaleScores:
        return ScaleScores(self.conn)

    @cached_property
    def standing(self) -> StandingMessages:
        return StandingMessages(self.conn)

    @cached_property
    def therapists(self) -> Therapists:
        return Therapists(self.conn)

    @cached_property
    def visits(self) -> Visits:
        return Visits(self.conn)
