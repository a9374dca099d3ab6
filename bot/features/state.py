"""What a carer's act is decided from: loaded once, then only read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from bot.domain.dialogs import DialogState
from bot.domain.entries import LogEntry
from bot.domain.ids import ChatId, EntryId, MessageId, OutboxId, ReminderId
from bot.domain.people import Carer, Family
from bot.domain.reminders import Copy, Reminder
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from scheduling.plan import Plan
from scheduling.sides import Side

RECENT = timedelta(days=3)  # what is older is looked up by its own number, where a button names it

# A reply without a quote answers the last reminder for this long, unless the next one has come.
ANSWERS_WITHIN = timedelta(hours=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class CarerState:
    """One carer's view of a family at one moment.

    carers: all of the family. reminders: of the last days and today, sent ones and those to come, by id.
    entries: of the last days, by id; what an edit replaced is left out. copies: where the reminders stand in chats.
    pressed: the outbox id of the message whose button was pressed; pressed_about: what it is about.
    """

    now: datetime
    family: Family
    carer: Carer
    carers: tuple[Carer, ...]
    dialog: DialogState
    chat_id: ChatId
    plan: Plan
    reminders: tuple[Reminder, ...] = ()
    entries: tuple[LogEntry, ...] = ()
    copies: tuple[Copy, ...] = ()
    pressed: OutboxId | None = None
    pressed_about: Subject | None = None

    @property
    def today(self) -> date:
        return self.family.local(self.now).date()

    # ---------------------------------------------------------------- reminders

    def reminder(self, reminder_id: ReminderId | None) -> Reminder | None:
        return next((each for each in self.reminders if each.id == reminder_id), None)

    def last_sent(self) -> Reminder | None:
        """Return the reminder that was sent last, whatever became of it."""
        sent = [each for each in self.reminders if each.sent_at is not None]
        return max(sent, key=lambda each: (each.sent_at, each.id), default=None)

    def reminded_since(self, instant: datetime) -> bool:
        newest = self.last_sent()
        return newest is not None and newest.sent_at is not None and newest.sent_at > instant

    def open_reminder(self) -> Reminder | None:
        """Return the reminder that a reply without a quote answers: the last one sent, still open and fresh.

        While reminders rest after an emergency there is none: a bare word may then be of the emergency.
        """
        if self.family.rest_until is not None and self.now < self.family.rest_until:
            return None
        newest = self.last_sent()
        if newest is None or newest.state != "sent" or newest.sent_at is None:
            return None
        return newest if newest.sent_at >= self.now - ANSWERS_WITHIN else None

    def has_pinned(self, activity: str, day: date) -> bool:
        """Say whether somebody asked for a repeat of an activity that is still to come on a day."""
        return any(
            each.pinned and each.state == "planned" and (each.activity, each.local_date) == (activity, day)
            for each in self.reminders
        )

    def copies_of(self, reminder: Reminder) -> list[Copy]:
        """Return where a reminder stands in chats, the oldest message first."""
        return [each for each in self.copies if each.about == reminder.about]

    def card_shown(self, activity: str) -> datetime | None:
        """Return when an activity's card was last shown in this chat."""
        about = Subject.card(activity)
        shown = [each.made_at for each in self.copies if (each.about, each.chat_id) == (about, self.chat_id)]
        return max(shown, default=None)

    # ---------------------------------------------------------------- log entries

    def entry(self, entry_id: EntryId | None) -> LogEntry | None:
        return next((each for each in self.entries if each.id == entry_id), None)

    def of_message(self, message_id: MessageId) -> list[LogEntry]:
        return [each for each in self.entries if each.message_id == message_id]

    def counted_of_reminder(self, reminder_id: ReminderId) -> list[LogEntry]:
        return [each for each in self.entries if each.reminder_id == reminder_id and each.state == "counted"]

    def together(self, entry: LogEntry) -> list[LogEntry]:
        """Return the entries that one message logged with this one, so that they are undone together."""
        if entry.message_id is None:
            return [each for each in self.entries if _one_press(each, entry)] or [entry]
        return self.of_message(entry.message_id)

    def last_counted(self) -> list[LogEntry]:
        """Return what this carer's last counted message or press logged, the oldest first."""
        own = [each for each in self.entries if each.carer_id == self.carer.id and each.state == "counted"]
        if not own:
            return []
        newest = own[-1]
        if newest.message_id is None:
            return [each for each in own if _one_press(each, newest)]
        return [each for each in own if each.message_id == newest.message_id]

    def waiting_entry(self, since: datetime) -> LogEntry | None:
        """Return this carer's newest entry that needs an answer before it counts, logged since an instant."""
        asked = [
            each
            for each in self.entries
            if each.carer_id == self.carer.id and each.state == "asked" and each.logged_at >= since
        ]
        return asked[-1] if asked else None

    def minutes_on(self, activity: str, day: date) -> float:
        counted = [
            each.minutes or 0.0
            for each in self.entries
            if each.state == "counted" and each.activity == activity and each.local_date == day
        ]
        return sum(counted)

    def counted_on(self, activity: str, day: date) -> list[LogEntry]:
        """Return the sessions of an activity that count on a day, the oldest first."""
        of_day = [each for each in self.entries if (each.activity, each.local_date) == (activity, day)]
        return [each for each in of_day if each.state == "counted"]

    def similar(self, new: LogEntry, within: timedelta) -> list[LogEntry]:
        """Return entries of other carers that may be the same as `new`: activity, side and minutes alike, about then."""
        return [
            each
            for each in self.entries
            if each.carer_id != new.carer_id
            and each.state == "counted"
            and (each.activity, each.minutes, each.local_date) == (new.activity, new.minutes, new.local_date)
            and abs(each.at - new.at) <= within
            and (each.side in (None, new.side) or new.side is None)
        ]

    # ---------------------------------------------------------------- as it will be

    def with_entries(self, changed: Iterable[LogEntry]) -> CarerState:
        """Return the state with entries added or in place of those with the same id."""
        by_id = {each.id: each for each in self.entries} | {each.id: each for each in changed}
        # New entries bear negative numbers until they are kept: the newest is the lowest.
        order = sorted(by_id.values(), key=lambda each: (each.id < 0, abs(each.id)))
        return replace(self, entries=tuple(order))

    def with_reminder(self, older: Reminder, copies: Iterable[Copy]) -> CarerState:
        """Return the state with a reminder that is older than what was loaded, and where it stands in chats."""
        return replace(self, reminders=(older, *self.reminders), copies=(*self.copies, *copies))


def _one_press(one: LogEntry, other: LogEntry) -> bool:
    """Say whether one press of a button logged both."""
    if one.id == other.id:
        return True
    pressed = one.message_id is None and other.message_id is None and one.activity == other.activity
    return pressed and (one.carer_id, one.logged_at) == (other.carer_id, other.logged_at)


def load_state(ctx: CarerContext) -> CarerState:
    """Return what a carer's act may need, loaded in a few statements, once until something changes."""
    if isinstance(ctx.loaded, CarerState):
        return ctx.loaded
    uow, family = ctx.uow, ctx.family
    reminders = tuple(uow.reminders.recent(family.id, since=ctx.today - RECENT))
    sent = [each.about for each in reminders if each.sent_at is not None]
    cards = [Subject.card(each.activity) for each in ctx.plan().plan.activities]
    pressed = ctx.pressed()
    ctx.loaded = state = CarerState(
        now=ctx.now,
        family=family,
        carer=ctx.carer,
        carers=ctx.family_carers or tuple(uow.carers.of_family(family.id)),
        dialog=ctx.dialog(),
        chat_id=ctx.chat_id,
        plan=ctx.plan().plan,
        reminders=reminders,
        entries=tuple(uow.entries.recent(family.id, since=ctx.now - RECENT, first_day=ctx.today - RECENT)),
        copies=tuple(uow.outbox.copies([*sent, *cards])),
        pressed=pressed.id if pressed else None,
        pressed_about=pressed.about if pressed else None,
    )
    return state


def other_side(side: Side) -> Side:
    return "left" if side == "right" else "right"
