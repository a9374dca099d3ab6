"""What is dangerous is stopped, what is unusual is asked about, and what is neither is left to the therapist."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.activities.library import load_library
from bot.features.plan.checks import Finding, corrected_weeks, findings_of
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan, ShareOfAwake
from scheduling.plan.model import SideRule

LIBRARY = load_library()
TODAY = date(2026, 3, 3)
TUMMY = Activity("tummy_time", MinutesADay(20), (3, 10), after_feed=30, side="alternate")
RANGE = Activity("gentle_range", MinutesADay(6), (2, 2), side="affected", from_=date(2026, 2, 20))


def plan(*activities: Activity, weeks: int = 15, gestation: int = 39, **fields: object) -> Plan:
    return Plan(
        baby=Baby("Pip", TODAY - timedelta(weeks=weeks), gestation, "right"),
        time_zone="America/Halifax",
        awake=((420, 540), (630, 750), (840, 960)),
        feeds=(430, 640, 850),
        moments=(("nappy", (480,)),),
        activities=activities,
        **fields,  # type: ignore[arg-type]
    )


def found(of: Plan, before: Plan | None = None) -> list[tuple[str, str]]:
    return [(each.level, each.kind) for each in findings_of(of, LIBRARY, TODAY, before=before)]


def kinds(of: Plan, before: Plan | None = None) -> dict[str, str]:
    """Each kind found, with its level."""
    return {kind: level for level, kind in found(of, before)}


def test_a_usual_plan_has_nothing_against_it() -> None:
    assert found(plan(TUMMY)) == []


def test_arm_moves_without_a_first_day_are_stopped_at_any_age() -> None:
    undated = replace(RANGE, from_=None)

    assert ("stop", "range_no_date") in found(plan(TUMMY, undated))
    assert ("stop", "range_no_date") in found(plan(TUMMY, undated, weeks=40))


def test_arm_moves_before_the_end_of_the_rest_are_stopped() -> None:
    held = Activity("touch_play", MinutesADay(4), (2, 2), side="affected", from_=date(2026, 3, 20))
    early, late = replace(RANGE, from_=date(2026, 3, 19)), replace(RANGE, from_=date(2026, 3, 20))

    assert findings_of(plan(held, early), LIBRARY, TODAY)[0] == Finding(
        "stop", "range_in_rest", "gentle_range", day=date(2026, 3, 20)
    )
    assert "range_in_rest" not in kinds(plan(held, late))


def test_an_activity_that_waits_for_an_age_says_nothing_of_a_rest() -> None:
    reaching = Activity("reaching", MinutesADay(4), (2, 2), side="affected", from_=date(2026, 4, 20))

    assert found(plan(reaching, RANGE)) == [("ask", "range_taught")]


def test_arm_moves_in_the_first_three_weeks_are_asked_about() -> None:
    of_two_weeks = plan(replace(RANGE, from_=TODAY), weeks=2)

    assert ("ask", "range_early") in found(of_two_weeks)
    assert ("ask", "range_early") not in found(plan(replace(RANGE, from_=TODAY), weeks=3))


def test_whether_arm_moves_were_taught_is_asked_once() -> None:
    dated = plan(RANGE)

    assert found(dated) == [("ask", "range_taught")]
    assert found(replace(dated, most_prompts=5), before=dated) == []


def test_what_was_answered_for_the_plan_in_force_is_not_asked_again_and_what_is_worse_is() -> None:
    soon = plan(replace(TUMMY, after_feed=10))
    sooner = plan(replace(TUMMY, after_feed=0))

    assert found(replace(soon, most_prompts=5), before=soon) == []
    assert found(sooner, before=soon) == [("ask", "after_feed")]


def test_what_is_stopped_stays_stopped_even_if_the_plan_in_force_has_it() -> None:
    undated = plan(replace(RANGE, from_=None))

    assert found(undated, before=undated) == [("stop", "range_no_date")]


@pytest.mark.parametrize(("after_feed", "asked"), [(0, True), (19, True), (20, False), (30, False)])
def test_tummy_time_soon_after_a_feed_is_asked_about(after_feed: int, asked: bool) -> None:
    soon = replace(TUMMY, after_feed=after_feed)

    assert (("ask", "after_feed") in found(plan(soon))) == asked


def test_feeds_do_not_matter_where_none_is_known_or_the_baby_is_not_prone() -> None:
    carried = Activity("upright_carry", MinutesADay(10), (5, 5), side="alternate")

    assert found(replace(plan(replace(TUMMY, after_feed=0)), feeds=())) == []
    assert found(plan(carried)) == []


def test_tummy_time_at_bedtime_is_stopped() -> None:
    at_bedtime = replace(TUMMY, moments=("nappy", "bedtime"))

    assert found(plan(at_bedtime)) == [("stop", "prone_bedtime")]


def test_long_tummy_time_in_the_first_weeks_is_asked_about() -> None:
    assert found(plan(TUMMY, weeks=3)) == [("ask", "long_first_weeks")]
    assert found(plan(replace(TUMMY, session=(3, 5)), weeks=3)) == []
    assert found(plan(TUMMY, weeks=4)) == []


def test_an_activity_that_waits_for_an_older_age_is_asked_about_by_corrected_age_on_its_first_day() -> None:
    rolling = Activity("rolling", MinutesADay(4), (2, 4), side="alternate")
    later = replace(rolling, from_=TODAY + timedelta(weeks=2))

    assert found(plan(rolling, weeks=6)) == [("ask", "too_young")]
    assert found(plan(later, weeks=6)) == []
    assert found(plan(rolling, weeks=15, gestation=32)) == [("ask", "too_young")]


def test_a_missing_side_is_asked_about_only_where_there_are_sides() -> None:
    bath = Activity("bath", MinutesADay(10), (5, 10))

    assert found(plan(replace(TUMMY, side="none"))) == [("ask", "side_missing")]
    assert found(plan(bath)) == []


def test_more_minutes_than_the_baby_is_awake_are_stopped_and_held_ones_do_not_count() -> None:
    much = replace(TUMMY, target=MinutesADay(341))
    share = Activity("upright_carry", ShareOfAwake(0.5), (5, 30), side="alternate")
    half = replace(TUMMY, target=MinutesADay(181))
    held = replace(half, from_=TODAY + timedelta(days=30))

    assert found(plan(much)) == []
    assert found(plan(replace(much, target=MinutesADay(361)))) == [("stop", "too_much")]
    assert found(plan(share, half)) == [("stop", "too_much")]
    assert found(plan(share, held)) == []


def test_more_than_eight_reminders_are_asked_about() -> None:
    assert found(plan(TUMMY, most_prompts=8)) == []
    assert found(plan(TUMMY, most_prompts=9)) == [("ask", "many_prompts")]


def test_a_day_with_too_little_sleep_is_asked_about_by_age() -> None:
    ten_and_a_half = replace(plan(TUMMY), awake=((420, 1050),))

    assert found(ten_and_a_half) == [("ask", "long_awake")]
    assert found(replace(plan(TUMMY, weeks=20), awake=((420, 1050),))) == []
    assert found(replace(plan(TUMMY, weeks=20), awake=((420, 1200),))) == [("ask", "long_awake")]


def test_what_could_never_be_prompted_is_asked_about() -> None:
    at_play = replace(TUMMY, moments=("play",))
    over = replace(TUMMY, until=TODAY - timedelta(days=1))

    assert found(plan(at_play)) == [("ask", "no_such_moment")]
    assert found(plan(over)) == [("ask", "over")]
    assert found(plan()) == [("ask", "empty")]
    assert found(replace(plan(TUMMY), awake=())) == [("ask", "no_awake")]


def test_an_activity_without_a_card_is_stopped() -> None:
    assert found(plan(Activity("juggling", MinutesADay(5), (5, 5)))) == [("stop", "unknown")]


def test_stops_stand_before_what_is_asked() -> None:
    both = plan(replace(TUMMY, after_feed=0, side="none"), replace(RANGE, from_=None))

    assert [level for level, _ in found(both)] == sorted([level for level, _ in found(both)], reverse=True)
    assert found(both)[0] == ("stop", "range_no_date")


def test_corrected_age_is_used_for_births_before_37_weeks_up_to_two_years() -> None:
    # Born at 30 weeks, now 20 weeks old: 10 weeks corrected.
    early = Baby("Pip", TODAY - timedelta(weeks=20), 30, "left")

    assert corrected_weeks(early, TODAY) == 10
    assert corrected_weeks(replace(early, gestation_weeks=37), TODAY) == 20
    assert corrected_weeks(replace(early, born=TODAY - timedelta(weeks=104)), TODAY) == 104


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_kind_of_finding_has_words(language: str) -> None:
    from typing import get_args

    from bot.features.plan.checks import Kind

    words = words_for(language)

    assert [kind for kind in get_args(Kind) if not words.has(f"plan_checks.{kind}")] == []


LYING = Activity("side_lying", MinutesADay(10), (3, 5), side="alternate")


@pytest.mark.parametrize(
    ("side", "weeks", "asked"),
    [("alternate", 12, True), ("affected", 12, True), ("unaffected", 12, False), ("affected", 13, False)],
)
def test_the_weak_side_down_is_asked_about_in_the_first_three_months(
    side: SideRule, weeks: int, asked: bool
) -> None:
    seen = kinds(plan(replace(LYING, side=side), weeks=weeks))
    assert ("weak_down_early" in seen) is asked


@pytest.mark.parametrize(
    ("activity", "asked"),
    [
        (replace(TUMMY, session=(3, 30)), False),
        (replace(TUMMY, session=(3, 31)), True),
        (replace(RANGE, session=(2, 10)), False),
        (replace(RANGE, session=(2, 11)), True),
    ],
)
def test_a_long_session_is_asked_about(activity: Activity, asked: bool) -> None:
    assert ("long_session" in kinds(plan(activity))) is asked


@pytest.mark.parametrize(("side", "asked"), [("affected", False), ("alternate", True), ("unaffected", True)])
def test_arm_moves_on_the_strong_side_are_asked_about(side: SideRule, asked: bool) -> None:
    assert ("range_strong" in kinds(plan(replace(RANGE, side=side)))) is asked


@pytest.mark.parametrize(("weeks", "count", "asked"), [(1, 4, True), (1, 3, False), (2, 4, False)])
def test_a_newborn_with_a_full_plan_is_asked_about(weeks: int, count: int, asked: bool) -> None:
    some = [
        replace(TUMMY, activity=name, session=(3, 5), side="none")
        for name in ("tummy_time", "football_hold", "upright_carry", "forearm_carry")
    ][:count]
    assert ("newborn_full" in kinds(plan(*some, weeks=weeks))) is asked
