from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.digest.due import Due
from bot.digest.facts import (
    ConcernFact,
    ConfidenceFact,
    DayFacts,
    PreviousFacts,
    QuestionFact,
    UnreadFact,
    left_share,
    part_of_day,
)
from bot.digest.figures import FamilyDigest
from bot.digest.prone import PRONE_ACTIVITIES
from bot.digest.week import digest_of
from scheduling.sides import AffectedSide
from tests.digest.invented_weeks import MONDAY, at, facts, lively_facts, session, week_of


def row(digest: FamilyDigest, activity: str) -> dict[str, Any]:
    return next(a for a in digest.as_json()["activities"] if a["activity"] == activity)


def test_a_week_without_word_has_null_minutes_and_seven_silent_days() -> None:
    digest = digest_of(facts())

    assert digest.days_without_word == 7
    assert row(digest, "tummy_time") == {
        "activity": "tummy_time",
        "target_minutes": 280,
        "minutes": None,
        "left": None,
        "right": None,
        "unsided": None,
        "sessions": None,
        "days_with_any": None,
    }
    assert digest.as_json()["prone"] == {"minutes": None, "awake_minutes": None, "share": None}


def test_on_a_day_with_word_what_nobody_told_of_counts_as_not_done() -> None:
    digest = digest_of(facts(sessions=(session("tummy_time", 12),)))

    assert digest.days_without_word == 6
    assert row(digest, "tummy_time")["minutes"] == 12
    assert row(digest, "football_hold")["minutes"] == 0


def test_minutes_are_held_against_the_targets_of_days_with_word_only() -> None:
    figures = digest_of(facts(sessions=(session("tummy_time", 12), session(day=3, id="s2")))).activities[0]

    assert figures.target_minutes == 280
    assert figures.known_target == 80


def test_a_silent_day_brings_no_waking_time_into_the_share() -> None:
    prone = digest_of(facts(sessions=(session("forearm_carry", 56),))).prone

    assert prone.awake_minutes == 560
    assert prone.share == pytest.approx(0.1)


def test_the_football_hold_is_not_counted_as_time_on_the_tummy() -> None:
    digest = digest_of(facts(sessions=(session("football_hold", 56, side="left"),)))

    assert "football_hold" not in PRONE_ACTIVITIES
    assert digest.prone.minutes == 0


def test_an_activity_whose_every_day_is_silent_is_unknown_in_a_week_with_word() -> None:
    days = tuple(
        replace(day, due=(*day.due, Due("rolling", 5.0))) if n >= 5 else day
        for n, day in enumerate(week_of())
    )
    digest = digest_of(facts(days=days, sessions=(session(),)))

    assert row(digest, "rolling")["target_minutes"] == 10
    assert row(digest, "rolling")["minutes"] is None


def test_an_activity_outside_the_plan_is_shown_without_a_target() -> None:
    digest = digest_of(facts(sessions=(session("bath", 10),)))

    assert row(digest, "bath")["target_minutes"] is None
    assert row(digest, "bath")["minutes"] == 10


def test_a_session_without_a_length_counts_as_a_session_and_not_as_zero_minutes() -> None:
    digest = digest_of(facts(sessions=(session("tummy_time", None),)))

    assert row(digest, "tummy_time")["minutes"] is None
    assert row(digest, "tummy_time")["sessions"] == 1


def test_minutes_go_to_the_side_they_were_told_for() -> None:
    told = (
        session("football_hold", 5, side="left", id="a"),
        session("football_hold", 7, side="right", id="b"),
        session("football_hold", 2, id="c"),
    )
    figures = row(digest_of(facts(sessions=told)), "football_hold")

    assert (figures["left"], figures["right"], figures["unsided"], figures["minutes"]) == (5, 7, 2, 14)


def test_only_a_whole_iso_week_bears_its_name() -> None:
    assert digest_of(facts()).week == "2026-W10"
    assert digest_of(facts(days=week_of()[:6])).week is None


@pytest.mark.parametrize(
    ("first", "week"),
    [(date(2020, 12, 28), "2020-W53"), (date(2024, 12, 30), "2025-W01"), (date(2026, 12, 28), "2026-W53")],
)
def test_weeks_around_new_year_are_numbered_by_iso_8601(first: date, week: str) -> None:
    assert digest_of(facts(days=week_of(first))).week == week


def test_days_still_to_come_are_not_silent() -> None:
    digest = digest_of(facts(as_of=at(MONDAY + timedelta(days=2), 12)))

    assert [state for _, state in digest.days] == ["silent", "silent", *["to_come"] * 5]


def test_days_before_the_plan_and_in_a_pause_are_not_silent() -> None:
    days = (DayFacts(MONDAY), replace(week_of()[1], paused=True), *week_of()[2:])

    assert digest_of(facts(days=days)).days_without_word == 5


def test_a_concern_alone_makes_its_day_a_day_with_word() -> None:
    concern = ConcernFact(at(MONDAY, 23.5), "Mum", "tell_therapist", "a click")

    assert digest_of(facts(concerns=(concern,))).days_without_word == 6


def test_words_from_outside_the_period_add_no_day_to_it() -> None:
    digest = digest_of(
        facts(days_with_word=frozenset({MONDAY - timedelta(days=1), MONDAY + timedelta(days=7)}))
    )

    assert digest.days_without_word == 7
    assert len(digest.days) == 7


def test_a_message_late_in_the_evening_counts_for_the_familys_own_date() -> None:
    late = UnreadFact(datetime(2026, 3, 4, 5, 30, tzinfo=UTC), "Mum", "hm")
    digest = digest_of(facts(unread=(late,)))

    assert [day for day, state in digest.days if state == "word"] == [date(2026, 3, 3)]


def test_a_session_told_after_the_last_digest_for_a_day_before_it_is_not_lost() -> None:
    late = session("tummy_time", 20, day=-1)
    digest = digest_of(facts(sessions=(late, session("tummy_time", 10, id="s2"))))

    assert row(digest, "tummy_time")["minutes"] == 30
    assert digest.days[0] == (MONDAY - timedelta(days=1), "word")


def test_a_cut_day_brings_only_its_part_of_target_and_waking_time() -> None:
    days = tuple(replace(day, part=0.5) for day in week_of()[:1])
    digest = digest_of(facts(days=days, sessions=(session("tummy_time", 12),)))

    assert row(digest, "tummy_time")["target_minutes"] == 20
    assert digest.prone.awake_minutes == 280


def test_the_part_of_a_day_is_measured_in_waking_time() -> None:
    day = datetime(2026, 3, 2, tzinfo=UTC)
    awake = [
        (day + timedelta(hours=8), day + timedelta(hours=12)),
        (day + timedelta(hours=16), day + timedelta(hours=20)),
    ]

    assert part_of_day(awake, day, day + timedelta(hours=18)) == 0.75
    assert part_of_day(awake, day + timedelta(hours=18), day + timedelta(days=3)) == 0.25
    assert part_of_day([], day, day) == 1


@pytest.mark.parametrize(
    ("affected_side", "ratio", "share"),
    [("left", (2, 1), 2 / 3), ("right", (2, 1), 1 / 3), ("right", (1, 0), 0), ("both", (1, 1), 0.5)],
)
def test_a_ratio_of_the_weak_side_becomes_a_share_of_the_left(
    affected_side: AffectedSide, ratio: tuple[int, ...], share: float
) -> None:
    assert left_share(affected_side, *ratio) == pytest.approx(share)


def test_the_latest_confidence_stands_beside_the_one_before_it_from_any_week() -> None:
    ratings = (
        ConfidenceFact("football_hold", 8, at(MONDAY, 9), "Mum"),
        ConfidenceFact("football_hold", 4, at(MONDAY - timedelta(days=30), 9), "Mum"),
        ConfidenceFact("tummy_time", 6, at(MONDAY, 9), "Mum"),
    )

    assert digest_of(facts(confidence=ratings)).as_json()["confidence"] == [
        {"activity": "football_hold", "latest": 8, "previous": 4},
        {"activity": "tummy_time", "latest": 6, "previous": None},
    ]


def test_a_carer_who_told_of_nothing_has_null_minutes() -> None:
    carers = digest_of(facts(sessions=(session(minutes=15),))).as_json()["carers"]

    assert carers == [
        {"carer": "Mum", "entries": 1, "minutes": 15},
        {"carer": "Grandpa", "entries": 0, "minutes": None},
    ]


def test_times_are_written_with_the_familys_own_offset() -> None:
    question = QuestionFact(datetime(2026, 3, 8, 20, tzinfo=UTC), "Mum", "why?", None)

    assert digest_of(facts(questions=(question,))).as_json()["questions"] == [
        {
            "at": "2026-03-08T15:00:00-05:00",
            "carer": "Mum",
            "urgency": None,
            "text": "why?",
            "answered_at": None,
        }
    ]


def test_the_json_has_the_fields_of_the_published_form_and_no_others() -> None:
    digest = digest_of(lively_facts(1)).as_json()

    assert list(digest) == [
        "family", "week", "from", "to", "baby", "activities", "prone", "prompts", "skips", "observations",
        "confidence", "concerns", "questions", "unread", "carers", "days_without_word", "plan_changes", "notes",
    ]  # fmt: skip


def test_without_a_period_before_nothing_is_compared() -> None:
    digest = digest_of(lively_facts(1, previous=None))

    assert digest.previous_pace is None
    assert {o.previous for o in digest.observations} == {None}
    assert {a.previous_pace for a in digest.activities} == {None}


def test_a_silent_week_before_is_unknown_and_not_zero() -> None:
    before = PreviousFacts(days=week_of(MONDAY - timedelta(days=7)), days_with_word=frozenset())
    digest = digest_of(lively_facts(1, previous=before))

    assert digest.previous_pace is None
    assert digest.prone.previous_share is None
    assert {o.previous for o in digest.observations} == {None}


def test_a_period_without_a_day_is_refused_in_one_sentence() -> None:
    with pytest.raises(ValueError, match="the period holds no day"):
        facts(days=())


@given(seed=st.integers(1, 10_000))
def test_the_days_of_an_activity_add_up_to_its_figures(seed: int) -> None:
    for figures in digest_of(lively_facts(seed)).activities:
        known = [day for day in figures.days if day.state == "word"]

        assert sum(day.minutes or 0 for day in known) == pytest.approx(figures.minutes)
        assert sum(day.left or 0 for day in known) == pytest.approx(figures.left)
        assert all(day.minutes is None for day in figures.days if day.state != "word")


@given(seed=st.integers(1, 10_000))
def test_the_order_in_which_facts_arrive_changes_nothing(seed: int) -> None:
    told = lively_facts(seed)
    turned = replace(told, sessions=told.sessions[::-1], observations=told.observations[::-1])

    assert digest_of(turned).as_json() == digest_of(told).as_json()
