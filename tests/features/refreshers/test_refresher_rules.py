"""What a carer who asks how a hold goes is shown, and what goes to the therapist instead."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from bot.domain.ids import FamilyId, MessageId
from bot.domain.media import Material
from bot.domain.subject import Subject
from bot.features.effects import Acknowledge, Reply
from bot.features.refreshers import rules
from bot.features.refreshers.contents import Card, NotExplained, TherapistsOwn, WhichHold
from bot.features.refreshers.rules import ForwardQuestion, RefresherState, SendMaterial
from scheduling.plan import Activity, Baby, MinutesADay, Plan

TODAY = date(2026, 3, 4)
TUMMY = Activity("tummy_time", MinutesADay(40), (5, 10))
GENTLE = Activity("gentle_range", MinutesADay(10), (5, 5))
PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 1140),),
    activities=(TUMMY, GENTLE),
)
STATE = RefresherState(
    plan=PLAN,
    today=TODAY,
    library=frozenset({"tummy_time", "gentle_range", "football_hold"}),
    must_be_taught=frozenset({"gentle_range"}),
    taught=frozenset(),
    held=frozenset(),
)
CLIP = Material(3, FamilyId("f1"), "tummy_time", "video", "file", None, datetime(2026, 3, 1, tzinfo=UTC))
MESSAGE = MessageId(7)


@pytest.mark.parametrize(
    ("state", "activity", "why"),
    [
        (STATE, "unheard_of", "unknown"),
        (STATE, "football_hold", "not_in_plan"),
        (STATE, "gentle_range", "taught_first"),
        (replace(STATE, held=frozenset({"tummy_time"})), "tummy_time", "held"),
        (
            replace(STATE, plan=replace(PLAN, activities=(replace(TUMMY, until=date(2026, 3, 1)),))),
            "tummy_time",
            "rests",
        ),
        (
            replace(STATE, plan=replace(PLAN, activities=(replace(TUMMY, from_=date(2026, 3, 9)),))),
            "tummy_time",
            "rests_until",
        ),
    ],
)
def test_what_is_not_explained_goes_to_the_therapist_as_a_question(
    state: RefresherState, activity: str, why: str
) -> None:
    said, passed_on = rules.decide_asked(state, MESSAGE, activity, None)

    assert isinstance(said, Reply)
    assert isinstance(said.content, NotExplained)
    assert said.content.why == why
    assert passed_on == ForwardQuestion(MESSAGE, activity)


def test_the_therapists_own_way_comes_before_our_card_and_no_other_holds() -> None:
    other = replace(CLIP, id=4, activity="football_hold")
    shown = rules.decide_show(replace(STATE, material=(CLIP, other)), "tummy_time", "left")

    card = Reply(content=Card("tummy_time", "left", "short"), about=Subject.card("tummy_time"))
    assert shown == (SendMaterial(TherapistsOwn(CLIP)), card)


def test_who_was_taught_is_shown_what_must_be_taught() -> None:
    taught = replace(STATE, taught=frozenset({"gentle_range"}))

    assert rules.why_not(taught, "gentle_range") is None


def test_with_no_hold_named_and_none_prompted_the_plan_is_offered() -> None:
    assert rules.decide_asked(STATE, MESSAGE, None, None) == (
        Reply(content=WhichHold(("tummy_time", "gentle_range"))),
    )


def test_a_name_that_is_not_known_is_passed_on_and_the_plan_offered() -> None:
    said, passed_on, offered = rules.decide_unknown(STATE, MESSAGE)

    assert passed_on == ForwardQuestion(MESSAGE, None)
    assert said == Reply(content=NotExplained("unknown", ""))
    assert offered == Reply(content=WhichHold(("tummy_time", "gentle_range")))


@pytest.mark.parametrize(("named", "side"), [("left", "left"), ("up", None), (None, None)])
def test_the_whole_card_keeps_the_side_of_the_short_one(named: str | None, side: str | None) -> None:
    pressed, card = rules.decide_more(STATE, "tummy_time", named)

    assert pressed == Acknowledge()
    assert isinstance(card, Reply)
    assert card.content == Card("tummy_time", side, "whole")  # type: ignore[arg-type]


def test_a_held_hold_is_not_shown_by_an_old_button_either() -> None:
    held = replace(STATE, held=frozenset({"tummy_time"}))

    for shown in (
        rules.decide_show(held, "tummy_time", None),
        rules.decide_part(held, "tummy_time", None, "hands"),
        rules.decide_more(held, "tummy_time", None)[1:],
    ):
        assert shown == (Reply(content=NotExplained("held", "tummy_time", may_ask=True)),)
