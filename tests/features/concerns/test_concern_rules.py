"""What is decided when a carer tells of trouble, without a chat."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.concerns.finding import Concern
from bot.domain.concerns import ConcernState
from bot.domain.ids import ConcernId, MessageId, OutboxId
from bot.features.concerns.contents import Denied
from bot.features.concerns.effects import (
    NEW,
    Advise,
    AskWhether,
    ConfirmConcern,
    DenyConcern,
    KeepConcern,
    NotifyTherapists,
    RestReminders,
)
from bot.features.concerns.rules import (
    decide_ask,
    decide_confirm,
    decide_deny,
    decide_raise,
    decide_raise_beside,
)
from bot.features.effects import Acknowledge, EditLine
from tests.features.concerns.cases import NOW, concern

BLUE = Concern("act_now", ("blue_or_grey",))
VOMITING = Concern("same_day", ("vomiting",))
CLICK = Concern("tell_therapist", ("click",))


@pytest.mark.parametrize(("found", "rest"), [(BLUE, (RestReminders(),)), (VOMITING, ())])
def test_an_urgent_concern_is_kept_then_advised_then_told(
    found: Concern, rest: tuple[RestReminders, ...]
) -> None:
    assert decide_raise([], MessageId(3), found) == (
        KeepConcern(found, MessageId(3)),
        Advise(NEW, (found.urgency,), urgent=True),
        *rest,
        NotifyTherapists(NEW),
    )


def test_what_needs_only_telling_notifies_nobody() -> None:
    assert decide_raise([], MessageId(3), CLICK) == (
        KeepConcern(CLICK, MessageId(3)),
        Advise(NEW, ("tell_therapist",), urgent=False),
    )


def test_an_edited_message_that_says_the_same_is_not_raised_twice() -> None:
    assert decide_raise([concern(urgency="act_now")], MessageId(3), BLUE) == ()
    assert decide_raise([concern(urgency="same_day")], MessageId(3), BLUE) != ()


def test_a_denied_concern_does_not_hide_the_same_one_raised_by_an_edit() -> None:
    assert decide_raise([concern(state="denied")], MessageId(3), BLUE) != ()


def test_another_baby_of_the_chat_is_told_of_without_a_second_advice() -> None:
    kept, advise, rest, notify = decide_raise_beside(MessageId(3), BLUE)

    assert rest == RestReminders()
    assert (kept, notify) == (KeepConcern(BLUE, MessageId(3)), NotifyTherapists(NEW))
    assert isinstance(advise, Advise) and not advise.spoken
    assert decide_raise_beside(MessageId(3), CLICK) == (KeepConcern(CLICK, MessageId(3)),)


def test_an_unclear_sign_is_asked_about_for_ten_minutes_and_once() -> None:
    assert decide_ask([], MessageId(3), BLUE, NOW) == (
        KeepConcern(BLUE, MessageId(3), NOW + timedelta(minutes=10)),
        AskWhether(NEW),
    )
    assert decide_ask([concern(state="asked")], MessageId(3), BLUE, NOW) == ()


def test_yes_makes_it_stand() -> None:
    assert decide_confirm(concern(state="asked")) == (
        Acknowledge(),
        ConfirmConcern(ConcernId(7)),
        Advise(ConcernId(7), ("act_now",), urgent=True),
        RestReminders(),
        NotifyTherapists(ConcernId(7)),
    )


def test_no_denies_it_in_place() -> None:
    assert decide_deny(concern(state="asked"), OutboxId(40)) == (
        Acknowledge(),
        DenyConcern(ConcernId(7)),
        EditLine(OutboxId(40), Denied()),
    )


@pytest.mark.parametrize("state", ["open", "seen", "answered", "wrong", "denied"])
def test_an_answer_that_comes_late_changes_nothing(state: ConcernState) -> None:
    assert decide_confirm(concern(state=state)) == (Acknowledge(),)
    assert decide_deny(concern(state=state), OutboxId(40)) == (Acknowledge(),)
