"""Who hears of a concern, when they hear of it again, and what its carer is told of that. Pure.

Decided: an urgent concern is repeated until a therapist has seen it. A time at which nobody could be reached does not count,
and is tried again soon. The carer is told who knows, once for each name, or that nobody could be reached.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.concerns.finding import Urgency
from bot.domain.concerns import ConcernRow, ConcernState
from bot.domain.people import Carer, Therapist
from bot.features.concerns.contents import NobodyReached, Notified, ToCarer

REPEAT_AFTER: dict[Urgency, tuple[timedelta, ...]] = {
    "act_now": (timedelta(minutes=10), timedelta(minutes=20), timedelta(hours=1)),
    "same_day": (timedelta(hours=1), timedelta(hours=3)),
    "tell_therapist": (),
}
"""How long after each notification the next one comes: each wait once, then the last one over and over."""
MOST_NOTIFICATIONS = 12
TRY_AGAIN = timedelta(minutes=5)
"""While no therapist of the clinic can be reached."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """A concern that is to be told. listeners: who hears of it and can be reached, the first first.

    outsiders: ids of those who hear of it only since nobody else could be reached. keeper: the family's therapist.
    carer: who wrote it, None where they are gone.
    """

    now: datetime
    found: ConcernRow
    listeners: tuple[Therapist, ...]
    outsiders: frozenset[str]
    keeper: Therapist | None
    carer: Carer | None


@dataclass(frozen=True, slots=True)
class AlertTherapist:
    therapist: Therapist
    found: ConcernRow


@dataclass(frozen=True, slots=True)
class NoteOutsider:
    """Note in the audit log that a therapist heard of a family that is not theirs."""

    therapist_id: str
    family_id: str


@dataclass(frozen=True, slots=True)
class NoteNotified:
    """first_at: of the first notification; next_at: of the next, None where there is none."""

    concern_id: int
    first_at: datetime | None
    count: int
    next_at: datetime | None


@dataclass(frozen=True, slots=True)
class TellCarer:
    """key: what is said once only."""

    carer: Carer
    content: ToCarer
    key: str


Notification = AlertTherapist | NoteOutsider | NoteNotified | TellCarer


def decide_notify(notice: Notice) -> tuple[Notification, ...]:
    effects: list[Notification] = []
    for therapist in notice.listeners:
        effects.append(AlertTherapist(therapist, notice.found))
        if therapist.id in notice.outsiders:
            effects.append(NoteOutsider(therapist.id, notice.found.family_id))
    return (*effects, _noted(notice), *_to_carer(notice))


def _noted(notice: Notice) -> NoteNotified:
    found, now = notice.found, notice.now
    waits = REPEAT_AFTER[found.urgency]
    if not notice.listeners:
        again = TRY_AGAIN if waits else None
        count = found.notification_count
    else:
        count = found.notification_count + 1
        again = waits[min(count, len(waits)) - 1] if waits and count <= MOST_NOTIFICATIONS else None
    first_at = found.notified_at or (now if notice.listeners else None)
    return NoteNotified(found.id, first_at, count, now + again if again else None)


def _to_carer(notice: Notice) -> tuple[TellCarer, ...]:
    if notice.carer is None:
        return ()
    if notice.listeners:
        first = notice.listeners[0]
        return (TellCarer(notice.carer, Notified(first.name), f"told:{notice.found.id}:{first.id}"),)
    name = notice.keeper.name if notice.keeper else ""
    return (TellCarer(notice.carer, NobodyReached(name), f"untold:{notice.found.id}"),)


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
