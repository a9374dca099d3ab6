"""Changes are made in order, whole where they can be, and what could not be done is told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduling.plan import Activity, Baby, MinutesADay, Plan, Ratio
from scheduling.plan.edits import ActivityChange, DayChange, Note, Removal, applied, fitted

PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 540),),
    moments=(("bath", (1110,)),),
    activities=(Activity("tummy_time", MinutesADay(40), (5, 10), until=date(2026, 5, 1)),),
)
STARTING = {"rolling": Activity("rolling", MinutesADay(4), (2, 4), side="affected", moments=("bath", "play"))}


def test_a_change_touches_only_what_it_names() -> None:
    plan, notes = applied(PLAN, [ActivityChange(activity="tummy_time", after_feed=30)], STARTING)

    assert plan.activities == (replace(PLAN.activities[0], after_feed=30),)
    assert notes == ()


def test_an_activity_added_without_minutes_starts_from_set_values_and_that_is_told() -> None:
    plan, notes = applied(PLAN, [ActivityChange(activity="rolling", side="alternate")], STARTING)

    assert plan.activity("rolling") == Activity(
        "rolling", MinutesADay(4), (2, 4), side="alternate", moments=("bath",)
    )
    assert notes == (Note("started", "rolling"),)


def test_an_activity_without_starting_values_is_added_only_with_its_minutes() -> None:
    without, notes = applied(PLAN, [ActivityChange(activity="gentle_range", session=(2, 2))], STARTING)
    given = ActivityChange(activity="gentle_range", target=MinutesADay(6), session=(2, 2))
    added, none = applied(PLAN, [given], STARTING)

    assert without == PLAN
    assert notes == (Note("dose_missing", "gentle_range"),)
    assert added.activity("gentle_range") == Activity("gentle_range", MinutesADay(6), (2, 2))
    assert none == ()


def test_a_last_date_before_the_first_is_not_taken_and_the_rest_of_the_change_is() -> None:
    change = ActivityChange(activity="tummy_time", from_=date(2026, 6, 1), after_feed=20)
    plan, notes = applied(PLAN, [change], STARTING)

    assert plan.activities == (replace(PLAN.activities[0], after_feed=20),)
    assert notes == (Note("dates_crossed", "tummy_time"),)


def test_dates_can_be_opened_and_set_in_one_change() -> None:
    change = ActivityChange(activity="tummy_time", open_dates=True, from_=date(2026, 6, 1))
    plan, notes = applied(PLAN, [change], STARTING)

    assert (plan.activities[0].from_, plan.activities[0].until) == (date(2026, 6, 1), None)
    assert notes == ()


def test_a_least_above_the_most_is_not_taken() -> None:
    plan, notes = applied(PLAN, [ActivityChange(activity="tummy_time", session=(12, None))], STARTING)

    assert plan == PLAN
    assert notes == (Note("session_crossed", "tummy_time"),)


def test_a_weak_side_is_not_taken_where_both_arms_need_care() -> None:
    both = replace(PLAN, baby=replace(PLAN.baby, affected_side="both"))
    plan, notes = applied(both, [ActivityChange(activity="tummy_time", side=Ratio(2, 1))], STARTING)

    assert plan == both
    assert notes == (Note("both_arms", "tummy_time"),)


def test_a_removed_activity_is_gone_and_one_that_was_not_there_is_told() -> None:
    plan, notes = applied(PLAN, [Removal("tummy_time"), Removal("bath")], STARTING)

    assert plan.activities == ()
    assert notes == (Note("not_in_plan", "bath"),)


def test_day_rules_change_and_named_moments_join_those_that_are_there() -> None:
    change = DayChange(most_prompts=4, no_quiet=True, moments=(("nappy", (480,)),))
    plan, _ = applied(replace(PLAN, quiet=(1200, 420)), [change], STARTING)

    assert (plan.most_prompts, plan.quiet) == (4, None)
    assert plan.moments == (("bath", (1110,)), ("nappy", (480,)))


def test_a_template_fits_a_baby_with_both_arms_and_a_day_without_moments() -> None:
    both = replace(PLAN, baby=replace(PLAN.baby, affected_side="both"), moments=())

    assert fitted(STARTING["rolling"], both) == replace(STARTING["rolling"], side="alternate", moments=None)
