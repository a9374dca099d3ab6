from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.strategies._internal.random import ArtificialRandom

from bot.concerns.finding import Urgency
from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    FamilyFacts,
    ObservationFact,
    PreviousFacts,
    PromptFact,
    QuestionFact,
    SkipFact,
)
from bot.digest.ranking import ranked
from bot.digest.suggestions import suggestions_for
from bot.digest.week import digest_of
from bot.replies.reading import ObservationKind
from tests.digest.invented_weeks import MONDAY, at, facts, lively_facts, session, week_of

EVERY_DAY = frozenset(MONDAY + timedelta(days=n) for n in range(7))
BEFORE = MONDAY - timedelta(days=7)


def previous(minutes: float = 20.0, observations: tuple[ObservationFact, ...] = ()) -> PreviousFacts:
    return PreviousFacts(
        days=week_of(BEFORE),
        days_with_word=frozenset(BEFORE + timedelta(days=n) for n in range(7)),
        sessions=tuple(session(minutes=minutes, day=n, first=BEFORE, id=f"p{n}") for n in range(7)),
        observations=observations,
    )


def calm(family: str = "calm", **changes: Any) -> FamilyFacts:
    """A family that did what was asked, on every day and both sides."""
    parts = [
        (due.activity, (due.minutes or 0) * part, side)
        for due in week_of()[0].due
        for side, part in (
            ((None, 1.0),)
            if due.left_share is None
            else (("left", due.left_share), ("right", 1 - due.left_share))
        )
        if part
    ]
    told = {
        "family": family,
        "days_with_word": EVERY_DAY,
        "sessions": tuple(
            session(activity, minutes, side=side, day=n, id=f"{activity}{n}{side}")
            for n in range(7)
            for activity, minutes, side in parts
        ),
    }
    return facts(**(told | changes))


def concern(urgency: Urgency, **changes: Any) -> ConcernFact:
    return ConcernFact(at(MONDAY, 9), "Mum", urgency, "words", **changes)


def observed(kind: ObservationKind, times: int, first: date = MONDAY) -> tuple[ObservationFact, ...]:
    return tuple(ObservationFact(kind, None, first, at(first, 9), "Mum") for _ in range(times))


def reasons(told: FamilyFacts) -> dict[str, Any]:
    return {reason.kind: reason for reason in ranked([digest_of(told)])[0].reasons}


def test_a_family_that_does_well_has_no_reason() -> None:
    assert reasons(calm()) == {}


def test_an_urgent_concern_comes_before_everything_else() -> None:
    silent = facts(family="silent")
    urgent = calm("urgent", concerns=(concern("act_now"),))
    same_day = facts(family="same", concerns=(concern("same_day"),))

    assert [r.family for r in ranked(map(digest_of, (silent, same_day, urgent)))] == [
        "urgent",
        "same",
        "silent",
    ]


@pytest.mark.parametrize(
    "done", [{"seen": True}, {"seen": True, "wrong": True}, {"answered_at": at(MONDAY, 9.5)}]
)
def test_what_a_therapist_looked_at_ends_its_rank(done: dict[str, bool] | dict[str, datetime]) -> None:
    looked_at = calm("looked_at", concerns=(concern("act_now", **done),))
    waits = calm("waits", concerns=(concern("same_day"),))
    silent = facts(family="silent")

    assert [r.family for r in ranked(map(digest_of, (looked_at, silent, waits)))] == [
        "waits",
        "silent",
        "looked_at",
    ]


def test_a_concern_that_was_none_is_no_reason() -> None:
    assert reasons(calm(concerns=(concern("act_now", seen=True, wrong=True),))) == {}


def test_a_family_that_fell_silent_does_not_sink_under_many_small_reasons() -> None:
    silent = facts(family="silent")
    answered = QuestionFact(at(MONDAY, 9), "Mum", "why?", answered_at=at(MONDAY, 10))
    worried = calm(
        "worried",
        concerns=(concern("tell_therapist", seen=True),) * 2,
        questions=(answered,) * 3,
        confidence=(ConfidenceFact("tummy_time", 2, at(MONDAY, 9), "Mum"),),
    )

    assert ranked(map(digest_of, (worried, silent)))[0].family == "silent"


@pytest.mark.parametrize(
    "waiting",
    [
        {"concerns": (concern("tell_therapist"),)},
        {"questions": (QuestionFact(at(MONDAY, 9), "Mum", "why?"),)},
    ],
)
def test_somebody_who_waits_for_the_therapist_comes_before_silence(waiting: dict[str, Any]) -> None:
    silent, waits = facts(family="silent"), calm("waits", **waiting)

    assert ranked(map(digest_of, (silent, waits)))[0].family == "waits"


def test_silence_is_told_with_its_days() -> None:
    assert reasons(facts(sessions=(session(),)))["silence"].numbers == {"n": 6, "days": 7}


def test_one_day_without_word_is_no_reason() -> None:
    assert "silence" not in reasons(calm(days_with_word=EVERY_DAY - {MONDAY}))


def test_fewer_minutes_than_before_are_told_with_both_figures() -> None:
    told = tuple(session(minutes=10, day=n, id=str(n)) for n in range(7))

    assert reasons(facts(sessions=told, previous=previous(20)))["falling"].numbers == {
        "now": 10,
        "before": 20,
    }


@pytest.mark.parametrize("minutes", [17, 20, 30])
def test_minutes_that_hold_or_rise_are_no_reason(minutes: int) -> None:
    told = tuple(session(minutes=minutes, day=n, id=str(n)) for n in range(7))

    assert "falling" not in reasons(facts(sessions=told, previous=previous(20)))


def test_two_known_days_are_too_few_to_call_minutes_falling() -> None:
    told = (session(minutes=1), session(minutes=1, day=1, id="b"))

    assert "falling" not in reasons(facts(sessions=told, previous=previous(20)))


def test_a_side_left_out_is_told_with_its_minutes() -> None:
    told = tuple(session("football_hold", 10, side="right", day=n, id=str(n)) for n in range(4))
    reason = reasons(facts(sessions=told))["side"]

    assert reason.numbers["side"] == "left"
    assert (reason.numbers["minutes"], reason.numbers["of"]) == (0, 40)


def test_a_side_that_the_plan_leaves_out_is_not_neglected() -> None:
    told = tuple(session("hand_to_mouth", 10, side="right", day=n, id=str(n)) for n in range(4))

    assert "side" not in reasons(facts(sessions=told))


def test_three_sessions_are_too_few_to_call_a_side_neglected() -> None:
    told = tuple(session("football_hold", 10, side="right", day=n, id=str(n)) for n in range(3))

    assert "side" not in reasons(facts(sessions=told))


@pytest.mark.parametrize(("value", "told"), [(6.5, True), (7, False)])
def test_confidence_under_seven_is_a_reason(value: float, told: bool) -> None:
    rating = ConfidenceFact("football_hold", value, at(MONDAY, 9), "Mum")

    assert ("confidence" in reasons(calm(confidence=(rating,)))) is told


@pytest.mark.parametrize(("now", "told"), [(2, False), (3, True)])
def test_distress_that_rises_by_two_or_more_is_a_reason(now: int, told: bool) -> None:
    before = previous(20, observed("tolerated_poorly", 1, BEFORE))
    week = calm(observations=observed("tolerated_poorly", now), previous=before)

    assert ("distress" in reasons(week)) is told


def test_distress_is_not_said_to_rise_where_the_week_before_is_unknown() -> None:
    assert "distress" not in reasons(calm(observations=observed("tolerated_poorly", 5)))


def test_an_answered_question_is_no_reason() -> None:
    answered = QuestionFact(at(MONDAY, 9), "Mum", "why?", at(MONDAY, 10))

    assert reasons(calm(questions=(answered,))) == {}


@given(seeds=st.lists(st.integers(1, 500), unique=True, max_size=8), order=st.randoms())
def test_the_order_of_need_does_not_hang_on_the_order_given(
    seeds: list[int], order: ArtificialRandom
) -> None:
    digests = [digest_of(lively_facts(seed)) for seed in seeds]
    turned = digests[:]
    order.shuffle(turned)

    assert [r.family for r in ranked(turned)] == [r.family for r in ranked(digests)]


@given(seed=st.integers(1, 500))
def test_one_more_urgent_concern_never_lowers_a_familys_place(seed: int) -> None:
    others = [digest_of(lively_facts(n)) for n in range(501, 506)]
    told = lively_facts(seed)
    worse = replace(told, concerns=(*told.concerns, concern("same_day")))

    def place(family: FamilyFacts) -> int:
        return [r.family for r in ranked([*others, digest_of(family)])].index(told.family)

    assert place(worse) <= place(told)


def kinds(told: FamilyFacts) -> list[str]:
    return [s.kind for s in suggestions_for(digest_of(told))]


def test_a_family_that_does_well_gets_no_suggestion() -> None:
    assert kinds(calm()) == []


def test_a_target_missed_by_far_is_told_with_both_figures() -> None:
    told = tuple(s for s in calm().sessions if s.activity != "tummy_time")
    told += tuple(session("tummy_time", 10, day=n, id=f"t{n}") for n in range(7))
    short = suggestions_for(digest_of(facts(sessions=told)))[-1]

    assert (short.kind, short.activity) == ("short", "tummy_time")
    assert (short.numbers["minutes"], short.numbers["target"], short.numbers["days"]) == (70, 280, 7)


def test_many_missed_targets_are_one_suggestion() -> None:
    told = tuple(session("tummy_time", 10, day=n, id=f"t{n}") for n in range(7))

    assert kinds(facts(sessions=told)) == ["below_floor", "short_many"]


def test_nothing_is_said_of_targets_when_lengths_are_missing() -> None:
    told = tuple(session("tummy_time", None if n else 5, day=n, id=f"t{n}") for n in range(7))

    assert "short" not in kinds(facts(days=week_of(due=week_of()[0].due[:1]), sessions=told))


def test_reminders_that_meet_a_sleeping_baby_are_told() -> None:
    prompts = tuple(PromptFact("tummy_time", None, MONDAY, "skipped", "asleep") for _ in range(8))
    asleep = tuple(SkipFact("asleep", "tummy_time", MONDAY, at(MONDAY, 9), "Mum") for _ in range(3))

    assert kinds(calm(prompts=prompts, skips=asleep)) == ["asleep"]


def test_reminders_without_answer_are_told() -> None:
    prompts = tuple(
        PromptFact("tummy_time", None, MONDAY, state) for state in ("expired",) * 5 + ("answered",) * 5
    )

    assert kinds(calm(prompts=prompts)) == ["unanswered"]
