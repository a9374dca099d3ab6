"""Who hears of a family's unseen concerns, in what, and what their carers are told of that. Pure.

Decided: an urgent concern is told at once; what nobody has seen is told again, all of a family in one message, by the schedule
of `unseen_schedule`. A time at which nobody could be reached does not count, and is tried again soon. A carer is told once who
knows, once that nobody has read it yet, and once where nobody could be reached, whatever the number of their concerns.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.domain.concerns import Circle, ConcernRow, ConcernState, UnseenSpell
from bot.domain.ids import ConcernId, FamilyId, TherapistId
from bot.domain.people import Carer, Therapist
from bot.features.concerns.contents import NobodyReached, Notified, ToCarer, Unread


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """A family's concerns that are to be told.

    spell: as it stands once they are told. told: what nobody has seen, the first in front. is_new: the first one has not
    been told before. circle: who hears. listeners: who of them can be reached, the first first. outsiders: ids of those
    among them whose family it is not. keeper: the family's therapist. carers: who wrote the concerns and can be told, by id.
    """

    now: datetime
    spell: UnseenSpell
    told: tuple[ConcernRow, ...]
    is_new: bool
    circle: Circle
    listeners: tuple[Therapist, ...]
    outsiders: frozenset[str]
    keeper: Therapist | None
    carers: Mapping[str, Carer]


@dataclass(frozen=True, slots=True)
class Alert:
    """therapists: each gets a message, the first who hears in front. told: in one message, the first one in full."""

    therapists: tuple[Therapist, ...]
    told: tuple[ConcernRow, ...]


@dataclass(frozen=True, slots=True)
class NoteOutsider:
    """Note in the audit log that a therapist heard of a family that is not theirs."""

    therapist_id: TherapistId
    family_id: FamilyId


@dataclass(frozen=True, slots=True)
class NoteNotified:
    """first_at: of the first notification."""

    concern_id: ConcernId
    first_at: datetime
    count: int


@dataclass(frozen=True, slots=True)
class KeepSpell:
    spell: UnseenSpell


@dataclass(frozen=True, slots=True)
class TellCarer:
    """key: what is said once only. told: the carer's words that it is about."""

    carer: Carer
    content: ToCarer
    key: str
    told: str = ""


Notification = Alert | NoteOutsider | NoteNotified | KeepSpell | TellCarer


def decide_notify(notice: Notice) -> tuple[Notification, ...]:
    effects: list[Notification] = []
    if notice.listeners:
        effects.append(Alert(notice.listeners, notice.told))
        effects += [
            NoteOutsider(each.id, notice.spell.family_id)
            for each in notice.listeners
            if each.id in notice.outsiders
        ]
        effects += [
            NoteNotified(each.id, each.notified_at or notice.now, each.notification_count + 1)
            for each in notice.told
        ]
    return (*effects, KeepSpell(notice.spell), *_to_carers(notice))


def _to_carers(notice: Notice) -> Iterator[TellCarer]:
    writers = {each.carer_id for each in (notice.told[:1] if notice.is_new else notice.told)}
    for carer in (notice.carers[each] for each in sorted(writers & set(notice.carers))):
        spell = f"{notice.spell.first_concern}:{carer.id}"
        words = "\n".join(dict.fromkeys(each.text for each in notice.told if each.carer_id == carer.id))
        if not notice.listeners:
            name = notice.keeper.name if notice.keeper else ""
            yield TellCarer(carer, NobodyReached(name), f"untold:{spell}", words)
            continue
        first = notice.listeners[0]
        rests = notice.is_new and any(rested(each) and each.carer_id == carer.id for each in notice.told)
        yield TellCarer(carer, Notified(first.name, rests), f"told:{spell}:{first.id}", words)
        if notice.circle == "clinic" and not notice.is_new:
            yield TellCarer(carer, Unread(), f"unread:{spell}", words)


# ---------------------------------------------------------------- what a therapist does with it

DONE: dict[str, ConcernState] = {
    "seen": "seen",
    "called": "answered",
    "wrong": "wrong",
    "answered": "answered",
}
"""What a therapist presses or does, and the state it puts a concern in."""


@dataclass(frozen=True, slots=True)
class Settled:
    """tell_carer: they hear now, once, that it was read."""

    state: ConcernState
    seen_at: datetime
    answered_at: datetime | None
    tell_carer: bool


def covered(unseen: Sequence[ConcernRow], head: int, up_to: int | None) -> tuple[ConcernRow, ...]:
    """Return which unseen concerns a press under an alert is about: its head, and those with it up to a number.

    What came later than the alert was not shown in it, and stays unseen.
    """
    return tuple(each for each in unseen if each.id == head or (up_to is not None and each.id <= up_to))


def same_words(one: ConcernRow, other: ConcernRow) -> bool:
    """Say whether two concerns of a family come of one message: what is found of its words goes for both."""
    return one.message_id is not None and one.message_id == other.message_id


def rested(found: ConcernRow) -> bool:
    """Say whether reminders rest since a concern was told: it was an emergency, advised at once, and is no secret."""
    return found.urgency == "act_now" and found.advice is not None and not found.discreet


def answered_beside(found: ConcernRow, of_message: Iterable[ConcernRow]) -> ConcernRow | None:
    """Return a concern of the same words and family that a therapist has answered or called about, None where there is none.

    They have read the whole message then; the same words do not come again as something new.
    """
    return next(
        (
            each
            for each in of_message
            if each.id != found.id and each.family_id == found.family_id and each.state == "answered"
        ),
        None,
    )


def decide_settle(found: ConcernRow, what: str, now: datetime) -> Settled:
    """Return what becomes of a concern. what: a key of DONE; an answer says by itself that the concern was read."""
    state = DONE[what]
    if what == "seen" and found.state in ("answered", "wrong"):
        state = found.state
    dealt_with = what in ("called", "answered")
    return Settled(
        state,
        seen_at=found.seen_at or now,
        answered_at=found.answered_at or (now if dealt_with else None),
        tell_carer=found.seen_at is None and what != "answered",
    )
