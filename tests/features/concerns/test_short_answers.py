"""Which short answers are offered to what: never one that could be wrong there."""

from __future__ import annotations

import itertools
from typing import get_args

import pytest

from bot.concerns.finding import Concern
from bot.concerns.loading import shipped_rules
from bot.domain.concerns import QuestionKind
from bot.features.concerns.short_answers import SHORT_ANSWERS, to_concern, to_question

CALLS_FIRST = {"emergency", "calling_too"}
OF_THE_CARER = {"calling_carer", "crisis_line"}
ASKS_TO_MOVE = {"video", "film_again"}
TRUTHS = list(itertools.product((True, False), repeat=3))
KINDS: tuple[QuestionKind, ...] = get_args(QuestionKind)


@pytest.mark.parametrize("topic", sorted(shipped_rules().advice))
@pytest.mark.parametrize("urgency", ["act_now", "same_day", "tell_therapist"])
def test_every_sign_has_what_fits_it_and_nothing_else(topic: str, urgency: str) -> None:
    offered = set(to_concern(Concern(urgency, (topic,))))  # type: ignore[arg-type]
    rules = shipped_rules()
    if topic in rules.discreet:
        assert not offered
    elif rules.advice[topic].startswith("carer_"):
        assert offered == OF_THE_CARER
    elif urgency == "act_now":
        assert offered == CALLS_FIRST
    else:
        assert offered and not offered & (CALLS_FIRST | OF_THE_CARER | ASKS_TO_MOVE | {"leave_out"})
        assert ("leave_arm" in offered) == (topic in rules.holds_arm)
        assert urgency != "same_day" or not offered & {"calling_today", "tell_more"}


def test_a_parent_in_danger_beside_an_ill_baby_gets_the_call_for_both() -> None:
    assert set(to_concern(Concern("act_now", ("blue_or_grey", "carer_harm_thoughts")))) <= (
        CALLS_FIRST | OF_THE_CARER
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("of_activity", "rests", "unsafe_sleep"), TRUTHS)
def test_a_question_gets_no_word_on_an_activity_that_it_does_not_name(
    kind: QuestionKind, of_activity: bool, rests: bool, unsafe_sleep: bool
) -> None:
    offered = to_question(kind, of_activity=of_activity, rests=rests, unsafe_sleep=unsafe_sleep)
    assert offered and len(set(offered)) == len(offered)
    assert of_activity or not {"leave_out", "video"} & set(offered)
    assert not rests or not ASKS_TO_MOVE & set(offered)
    assert ("safe_sleep" in offered) == unsafe_sleep
    assert not unsafe_sleep or not {"tell_more", "leave_out", *ASKS_TO_MOVE} & set(offered)


def test_no_text_is_never_offered() -> None:
    signs = [
        to_concern(Concern(urgency, (topic,)))
        for topic in shipped_rules().advice
        for urgency in ("act_now", "same_day", "tell_therapist")
    ]
    asked = [
        to_question(kind, of_activity=one, rests=two, unsafe_sleep=three)
        for kind in KINDS
        for one, two, three in TRUTHS
    ]
    assert {name for each in (*signs, *asked) for name in each} == set(SHORT_ANSWERS)
