"""What is decided when a carer tells of trouble. Pure: what is known in, effects out.

Decided: advice comes before anything else, the therapists hear of what is urgent at once, and what needs only telling goes
into the digest. A sign that neither stands nor is denied is asked about; unanswered, it counts as standing.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.concerns.advice import DISCREET, advice_for, holds_arm, is_discreet
from bot.concerns.finding import Concern
from bot.domain.concerns import ConcernRow
from bot.domain.ids import CarerId, ConcernId, MessageId, OutboxId
from bot.features.concerns.contents import Advice, Denied, Measured
from bot.features.concerns.effects import (
    NEW,
    Advise,
    AskTemperature,
    AskWhether,
    ConfirmConcern,
    DenyConcern,
    HoldArm,
    KeepConcern,
    NotifyTherapists,
    RestReminders,
)
from bot.features.effects import Acknowledge, EditLine, Reply

FEVER = frozenset({"fever", "feels_hot", "feels_hot_described"})
ASK_FOR = timedelta(minutes=10)
"""An unclear sign that nobody answers is forwarded after this long."""

ConcernEffect = (
    KeepConcern
    | Advise
    | AskWhether
    | AskTemperature
    | ConfirmConcern
    | DenyConcern
    | HoldArm
    | RestReminders
    | NotifyTherapists
    | Acknowledge
    | EditLine
    | Reply
)
ConcernEffects = tuple[ConcernEffect, ...]


def decide_raise(earlier: Sequence[ConcernRow], message_id: MessageId, found: Concern) -> ConcernEffects:
    """Keep a concern, advise, and notify. earlier: what the same message raised already, as before it was edited."""
    if any(each.urgency == found.urgency and each.state != "denied" for each in earlier):
        return ()
    return (KeepConcern(found, message_id), *_advise_and_notify(NEW, found))


def is_fever(topics: Sequence[str]) -> bool:
    """Say whether a concern is of heat and nothing else."""
    return bool(topics) and FEVER.issuperset(topics)


def asks_for_thermometer(found: Concern, *, figure_told: bool) -> bool:
    """Say whether the thermometer comes first: heat alone, without a figure, at an age at which it is not for at once."""
    return is_fever(found.topics) and found.urgency == "same_day" and not figure_told


def decide_ask_temperature(
    earlier: Sequence[ConcernRow], message_id: MessageId, found: Concern, now: datetime
) -> ConcernEffects:
    """Ask for the temperature; unanswered, or without a thermometer, the concern stands."""
    if any(each.state != "denied" for each in earlier):
        return ()
    return (KeepConcern(found, message_id, now + ASK_FOR), AskTemperature(NEW))


def decide_measured(asked: ConcernRow, message_id: MessageId, found: Concern | None) -> ConcernEffects:
    """Judge the temperature that came back. found: what the table of ages says of it, None where it raises nothing."""
    if found is None:
        return (DenyConcern(asked.id), Reply(content=Measured(), answers=message_id))
    return (ConfirmConcern(asked.id), *decide_raise((), message_id, found))


def decide_raise_beside(message_id: MessageId, found: Concern) -> ConcernEffects:
    """Keep a concern that may be about another baby too, and notify; the carer has the advice already."""
    kept = KeepConcern(found, message_id)
    if found.urgency == "tell_therapist":
        return (kept,)
    return (kept, *_advise_and_notify(NEW, found, spoken=False))


def _advise_and_notify(concern_id: ConcernId, found: Concern, *, spoken: bool = True) -> ConcernEffects:
    urgent = found.urgency != "tell_therapist"
    advise = Advise(concern_id, advice_for(found), urgent, spoken)
    held: ConcernEffects = (HoldArm(concern_id),) if holds_arm(found.topics) else ()
    if rests_reminders(found):
        held = (*held, RestReminders())
    return (advise, *held, NotifyTherapists(concern_id)) if urgent else (advise, *held)


def rests_reminders(found: Concern) -> bool:
    """Say whether no reminders come until the next morning: in an emergency nobody is to be asked for minutes.

    What must not show in the home changes nothing that another carer could wonder at.
    """
    return found.urgency == "act_now" and not is_discreet(found)


def decide_ask(
    earlier: Sequence[ConcernRow], message_id: MessageId, found: Concern, now: datetime
) -> ConcernEffects:
    """Ask at once about an unclear sign; an edited message that is as unclear as before is not asked about twice."""
    if any(each.state == "asked" for each in earlier):
        return ()
    return (KeepConcern(found, message_id, now + ASK_FOR), AskWhether(NEW))


def decide_confirm(found: ConcernRow) -> ConcernEffects:
    """ "Yes, it is happening"."""
    if found.state != "asked":
        return (Acknowledge(),)
    concern = Concern(found.urgency, found.topics)
    return (Acknowledge(), ConfirmConcern(found.id), *_advise_and_notify(found.id, concern))


def decide_open(found: ConcernRow, carer_id: CarerId, pressed: OutboxId | None) -> ConcernEffects:
    """ "Open it": show in place the advice that was kept from view, to who wrote the concern alone."""
    texts = tuple(text for text in advice_for(Concern(found.urgency, found.topics)) if text in DISCREET)
    if carer_id != found.carer_id or not texts:
        return (Acknowledge(),)
    return (Acknowledge(), EditLine(pressed, Advice(texts), kind="concern"))


def decide_deny(found: ConcernRow, pressed: OutboxId | None) -> ConcernEffects:
    """ "No, it is not". pressed: the outbox id of the question, which changes in place."""
    if found.state != "asked":
        return (Acknowledge(),)
    return (Acknowledge(), DenyConcern(found.id), EditLine(pressed, Denied()))
