"""What may be dangerous or cannot work in a plan, before it is sent to a family.

Pure. "stop" is not sent until it is mended; "ask" is sent once the therapist has said that it is meant. Nothing here weighs
the therapist's judgement of a dose. Sources: where a number is published it is named; the rest is common practice, no source.

Two choices are worth their reasons. Tummy time right after a feed is asked about and not stopped: that families leave 20-30
minutes is common practice and no rule, and the minutes are a field of the plan. Gentle arm moves are stopped without a first
date, whatever the age: the date is how a therapist says that the rest after birth, or after a fracture, is over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from bot.activities.schema import Activity as Known
from scheduling.plan import Activity, Baby, MinutesADay, Plan, ShareOfAwake, TimesADay

SHORTEST_AFTER_FEED = 20  # minutes; the lower end of what many leave: common practice, no source
MOST_BEARABLE_PROMPTS = 8  # a day; common practice, no source
USUAL_REST = timedelta(
    weeks=3
)  # after birth; common practice, no source: a first date before it is asked about
FIRST_WEEKS = timedelta(weeks=4)  # "first weeks" of AAP, Back to Sleep, Tummy to Play, taken as four
FIRST_WEEKS_SESSION = 5  # minutes, AAP, Back to Sleep, Tummy to Play
# Most minutes awake in a day: 24 h less the least sleep of WHO 2019 (under 5s), 14 h to 3 months and 12 h to 11 months.
MOST_AWAKE_YOUNG, MOST_AWAKE = 10 * 60, 12 * 60
FIRST_MONTHS = timedelta(weeks=13)
NEWBORN, NEWBORN_ACTIVITIES = (
    timedelta(weeks=2),
    3,
)  # common practice, no source: a tired family begins with little
LONGEST_SESSION, LONGEST_RANGE = 30, 10  # minutes at a time; common practice, no source
YOUNG = timedelta(weeks=17)  # up to and with three months

Kind = Literal[
    "range_no_date", "range_in_rest", "range_early", "range_taught", "unknown", "prone_bedtime", "too_much",
    "too_young", "after_feed", "long_first_weeks", "side_missing", "no_such_moment", "over", "many_prompts",
    "long_awake", "no_awake", "empty", "weak_down_early", "long_session", "range_strong", "newborn_full",
    "arm_hold_over", "arm_hold_off", "awake_in_quiet", "day_without", "starved", "short", "short_times",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Help:
    """What would make room: prompts a day, minutes at a time, minutes apart; or nothing but less to do, without a number."""

    kind: Literal["prompts", "session", "gap", "less"]
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """level: stop or ask. activity: None where the whole day is meant. number, of, day, help: what the words need."""

    level: Literal["stop", "ask"]
    kind: Kind
    activity: str | None = None
    number: int | None = None
    day: date | None = None
    of: int | None = None
    help: Help | None = None


def findings_of(
    plan: Plan, library: Mapping[str, Known], today: date, *, before: Plan | None = None
) -> tuple[Finding, ...]:
    """Return what stands against sending a plan, stops first, each group in the order of the plan.

    library: what is known of each activity. before: the plan in force, where this therapist sent it: what was asked about it
    was answered then, and is not asked again (many questions are soon answered without reading).
    """
    found = [*_day(plan, today)]
    for activity in plan.activities:
        known = library.get(activity.activity)
        if known is None:
            found.append(Finding("stop", "unknown", activity.activity))
            continue
        found += _activity(activity, known, plan, today)
        if known.only_if_switched_on:
            found += _range(activity, library, plan, today)
    if before is not None:
        answered = {each for each in findings_of(before, library, today) if each.level == "ask"}
        found = [each for each in found if each not in answered]
    return tuple(sorted(found, key=lambda each: each.level != "stop"))


def _day(plan: Plan, today: date) -> Iterator[Finding]:
    awake = sum(end - start for start, end in plan.awake)
    asked = sum(_minutes(each, awake) for each in plan.activities if not each.held_on(today))
    if not plan.activities:
        yield Finding("ask", "empty")
    if not plan.awake:
        yield Finding("ask", "no_awake")
    elif asked > awake:
        yield Finding("stop", "too_much", number=round(asked - awake))
    if plan.most_prompts > MOST_BEARABLE_PROMPTS:
        yield Finding("ask", "many_prompts", number=plan.most_prompts)
    begun = [each for each in plan.activities if not each.held_on(today)]
    if today - plan.baby.born < NEWBORN and len(begun) > NEWBORN_ACTIVITIES:
        yield Finding("ask", "newborn_full", number=len(begun))
    if plan.arm_hold is not None and plan.arm_hold.until is not None and plan.arm_hold.until < today:
        yield Finding("ask", "arm_hold_over", day=plan.arm_hold.until)
    most = MOST_AWAKE_YOUNG if today - plan.baby.born < YOUNG else MOST_AWAKE
    if awake > most:
        yield Finding("ask", "long_awake", number=awake // 60)


def arm_starts_again(plan: Plan, in_force: Plan) -> tuple[Finding, ...]:
    """Return the question about a draft that has no hold of the arm while the plan in force has one.

    A draft may be older than the hold, so that nobody meant to end it.
    """
    ends = plan.arm_hold is None and in_force.arm_hold is not None
    return (Finding("ask", "arm_hold_off"),) if ends else ()


def _minutes(activity: Activity, awake: int) -> float:
    match activity.target:
        case MinutesADay(minutes):
            return minutes
        case ShareOfAwake(share):
            return share * awake
        case TimesADay(times):
            return times * activity.session[0]
        case None:
            return 0


def _activity(activity: Activity, known: Known, plan: Plan, today: date) -> Iterator[Finding]:
    name = activity.activity
    if activity.until is not None and activity.until < today:
        yield Finding("ask", "over", name, day=activity.until)
        return
    begins = max(today, activity.from_ or today)
    if known.from_weeks > corrected_weeks(plan.baby, begins):
        yield Finding("ask", "too_young", name, number=known.from_weeks)
    if known.prone:
        yield from _prone(activity, plan, begins)
    if (
        known.side == "lies_on"
        and "held" not in known.positions
        and begins - plan.baby.born < FIRST_MONTHS
        and _lies_on_weak(activity, plan)
    ):
        yield Finding("ask", "weak_down_early", name)
    longest = LONGEST_RANGE if known.only_if_switched_on else LONGEST_SESSION
    if activity.session[1] > longest:
        yield Finding("ask", "long_session", name, number=activity.session[1])
    if (
        known.only_if_switched_on
        and plan.baby.affected_side != "both"
        and activity.side not in ("affected", "none")
    ):
        yield Finding("ask", "range_strong", name)
    if known.side != "none" and activity.side == "none":
        yield Finding("ask", "side_missing", name)
    times = dict(plan.moments)
    if activity.moments is not None and not any(times.get(moment) for moment in activity.moments):
        yield Finding("ask", "no_such_moment", name)


def _lies_on_weak(activity: Activity, plan: Plan) -> bool:
    """Whether an activity's side rule may have the baby lie on the weak arm; with two weak arms there is no other way."""
    return plan.baby.affected_side != "both" and activity.side not in ("unaffected", "none")


def _prone(activity: Activity, plan: Plan, begins: date) -> Iterator[Finding]:
    name = activity.activity
    if activity.moments and "bedtime" in activity.moments:
        yield Finding("stop", "prone_bedtime", name)
    if plan.feeds and activity.after_feed < SHORTEST_AFTER_FEED:
        yield Finding("ask", "after_feed", name, number=activity.after_feed)
    if begins - plan.baby.born < FIRST_WEEKS and activity.session[1] > FIRST_WEEKS_SESSION:
        yield Finding("ask", "long_first_weeks", name, number=activity.session[1])


def _range(activity: Activity, library: Mapping[str, Known], plan: Plan, today: date) -> Iterator[Finding]:
    name = activity.activity
    rest_ends = _rest_ends(library, plan, today)
    if activity.from_ is None:
        yield Finding("stop", "range_no_date", name)
    elif rest_ends is not None and activity.from_ < rest_ends:
        yield Finding("stop", "range_in_rest", name, day=rest_ends)
    elif max(today, activity.from_) < plan.baby.born + USUAL_REST:
        yield Finding("ask", "range_early", name, day=activity.from_)
    yield Finding("ask", "range_taught", name)


def _rest_ends(library: Mapping[str, Known], plan: Plan, today: date) -> date | None:
    """Return the day on which the last of the other held arm activities begins: until then the arm rests.

    One that is held for the baby's age says nothing of a rest, so those that wait for an age are passed over.
    """
    held = [
        each.from_
        for each in plan.activities
        if each.from_ is not None
        and each.from_ > today
        and (known := library.get(each.activity)) is not None
        and known.side == "arm_moved"
        and known.from_weeks == 0
        and not known.only_if_switched_on
    ]
    return max(held, default=None)


def corrected_weeks(baby: Baby, on: date) -> int:
    """Return the age in whole weeks, corrected for a birth before 37 weeks up to the age of two."""
    weeks = (on - baby.born).days // 7
    early = 40 - baby.gestation_weeks if baby.gestation_weeks < 37 and weeks < 104 else 0
    return weeks - early
