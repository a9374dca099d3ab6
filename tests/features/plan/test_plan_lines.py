"""A plan in words: every rule of it can be seen, what is new is marked, and any plan can be shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.activities.library import load_library
from bot.features.plan.buttons import MOMENTS
from bot.features.plan.checks import findings_of
from bot.features.plan.preview import day_text
from bot.features.plan.therapist_view import activity_line, finding_shown, plan_text, what_changed
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan, Ratio, ShareOfAwake
from scheduling.planner import plan_days

LIBRARY = load_library()
TODAY = date(2026, 3, 3)
EN = words_for("en")
TUMMY = Activity("tummy_time", MinutesADay(40), (5, 10), after_feed=30)
PLAN = Plan(
    Baby("Pip", date(2025, 11, 20), 39, "right"), "America/Halifax", ((420, 540), (630, 750)), (430,),
    quiet=(1200, 420), activities=(TUMMY,),
)  # fmt: skip


def name_of(activity: str) -> str:
    return LIBRARY.name(activity, "en")


def test_an_activity_line_says_every_rule() -> None:
    whole = Activity(
        "side_lying",
        ShareOfAwake(0.5),
        (3, 5),
        after_feed=20,
        before_feed=10,
        own_gap=60,
        moments=("nappy", "play"),
        side=Ratio(2, 1),
        weight=3,
        from_=date(2026, 4, 1),
        until=date(2026, 5, 1),
    )

    assert activity_line(whole, "Side lying", EN) == (
        "<b>Side lying</b>: 50% of the time awake, 3-5 min each, 20 min after feeds, 10 min before feeds, "
        "60 min apart, at nappy, play, weak to strong side 2:1, weight 3, from Wed 1 Apr, until Fri 1 May"
    )


def test_only_what_differs_is_marked_and_what_is_gone_is_named() -> None:
    bath = Activity("bath", MinutesADay(10), (5, 10))
    before = replace(PLAN, activities=(TUMMY, bath))
    after = replace(PLAN, feeds=(440,), activities=(TUMMY, Activity("rolling", MinutesADay(6), (2, 2))))
    marked = [
        line for line in plan_text(after, before, EN, name_of).split("\n") if "✎" in line or "＋" in line
    ]

    assert marked == ["✎ Feeds 07:20", "• ＋ <b>Rolling</b>: 6 min a day, 2 min each"]
    assert plan_text(after, before, EN, name_of).endswith("Out: Bath.")
    assert what_changed(after, before, EN, name_of) == "New: Rolling. Out: Bath. Day rules changed."


def test_a_name_from_a_clinics_own_file_can_not_break_the_markup() -> None:
    assert "<b>a &lt;b&gt; c</b>" in activity_line(TUMMY, "a <b> c", EN)


def test_what_falls_short_on_a_later_day_is_told_with_that_day() -> None:
    later = replace(TUMMY, target=MinutesADay(200), from_=date(2026, 3, 5))
    plan = replace(PLAN, activities=(later, Activity("bath", MinutesADay(5), (5, 5))))
    lines = day_text(plan, plan_days(plan, TODAY, 7), "Pip", EN, name_of).split("\n")

    assert lines[0] == "<b>Pip, Tue 3 Mar</b>"
    assert lines[lines.index("On Thu 5 Mar:") + 1].startswith("⚠ Tummy time:")
    assert lines[-1] == "⏸ Tummy time is on hold: from Thu 5 Mar"
    assert "✓ All minutes fit." not in lines


def test_a_day_whose_shape_is_not_known_says_why_nothing_comes() -> None:
    plan = replace(PLAN, awake=())

    assert "The family has not said when the baby is up." in day_text(
        plan, plan_days(plan, TODAY, 7), "Pip", EN, name_of
    )


DATES = st.none() | st.dates(date(2026, 2, 1), date(2026, 5, 1))


@st.composite
def activities(draw: st.DrawFn, name: str) -> Activity:
    least = draw(st.integers(1, 30))
    first = draw(DATES)
    last = draw(DATES)
    return Activity(
        name,
        draw(
            st.builds(MinutesADay, st.integers(0, 300))
            | st.builds(ShareOfAwake, st.sampled_from((0, 0.5, 1)))
        ),
        (least, least + draw(st.integers(0, 20))),
        after_feed=draw(st.integers(0, 60)),
        moments=draw(st.none() | st.lists(st.sampled_from(MOMENTS), max_size=3, unique=True).map(tuple)),
        side=draw(st.sampled_from(("none", "alternate", "affected", Ratio(2, 1)))),
        from_=first,
        until=None if last and first and last < first else last,
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    names = draw(st.lists(st.sampled_from([*LIBRARY, "juggling"]), max_size=6, unique=True))
    return replace(
        PLAN,
        awake=draw(st.sampled_from(((), ((420, 540),), ((0, 1440),)))),
        feeds=draw(st.sampled_from(((), (430, 640)))),
        most_prompts=draw(st.integers(0, 24)),
        activities=tuple(draw(activities(name)) for name in names),
        baby=replace(PLAN.baby, born=draw(st.dates(date(2025, 1, 1), TODAY))),
    )


@pytest.mark.parametrize("language", LANGUAGES)
@given(plans(), plans())
@settings(max_examples=60, deadline=None)
def test_any_plan_can_be_checked_and_shown(language: str, plan: Plan, before: Plan) -> None:
    words = words_for(language)
    findings = findings_of(plan, LIBRARY, TODAY, before=before)
    shown = [finding_shown(each, words, name_of) for each in findings]

    assert len(set(shown)) == len(findings)
    assert plan_text(plan, before, words, name_of).count("•") == len(plan.activities)
    assert not findings_of(plan, LIBRARY, TODAY, before=plan) or all(
        each.level == "stop" for each in findings_of(plan, LIBRARY, TODAY, before=plan)
    )


@given(plans())
@settings(max_examples=60, deadline=None)
def test_arm_moves_without_a_first_day_are_never_let_through(plan: Plan) -> None:
    undated = Activity("gentle_range", MinutesADay(6), (2, 2), side="affected")
    others = tuple(each for each in plan.activities if each.activity != "gentle_range")
    with_it = replace(plan, activities=(*others, undated))

    assert any(each.level == "stop" for each in findings_of(with_it, LIBRARY, TODAY, before=with_it))
