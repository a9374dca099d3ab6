"""Changes to a plan, as values, and the plan after them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from scheduling.plan.goal_edits import (
    Edited,
    GoalChange,
    GoalRemoval,
    activity_left_goals,
    goal_changed,
    goal_removed,
)
from scheduling.plan.model import Activity, ArmHold, MomentName, NextStep, Plan, Ratio, SideRule, Target
from scheduling.sides import AffectedSide

Span = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class ActivityChange:
    """What is to be different about one activity; it is added where the plan does not hold it.

    None leaves a field as it is. session: least and most minutes, each may be None. any_time: no care moments any more.
    open_dates: neither a first nor a last date any more. when: early in an awake span, or at any time of it.
    """

    activity: str
    target: Target | None = None
    session: tuple[int | None, int | None] | None = None
    after_feed: int | None = None
    before_feed: int | None = None
    own_gap: int | None = None
    moments: tuple[MomentName, ...] | None = None
    any_time: bool = False
    side: SideRule | None = None
    weight: float | None = None
    from_: date | None = None
    until: date | None = None
    open_dates: bool = False
    when: Literal["early", "any"] | None = None


@dataclass(frozen=True, slots=True)
class NextChange:
    """What comes after an activity, and when; None: nothing any more."""

    activity: str
    step: NextStep | None


@dataclass(frozen=True, slots=True)
class Removal:
    activity: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayChange:
    """What is to be different about the whole day. Times are minutes of the wall clock; no_quiet: no quiet time any more.

    no_arm_hold: the arm does not rest any more.
    """

    most_prompts: int | None = None
    shortest_gap: int | None = None
    quiet: Span | None = None
    no_quiet: bool = False
    feeds: tuple[int, ...] | None = None
    awake: tuple[Span, ...] | None = None
    moments: tuple[tuple[MomentName, tuple[int, ...]], ...] = ()
    arm_hold: ArmHold | None = None
    no_arm_hold: bool = False


Change = ActivityChange | NextChange | Removal | DayChange | GoalChange | GoalRemoval

NoteKind = Literal[
    "started",
    "dose_missing",
    "not_in_plan",
    "dates_crossed",
    "both_arms",
    "session_crossed",
    "left_with_goal",
]


@dataclass(frozen=True, slots=True)
class Note:
    """What a therapist must be told about a change.

    started: minutes that were not said came from the starting values. Every other kind was not done: dose_missing (an
    activity without starting values, added without minutes), not_in_plan (nothing to remove), dates_crossed (the last
    date would lie before the first), both_arms (a weak or strong side, where both arms need care), session_crossed (the
    least minutes would pass the most). left_with_goal: the activity had no target of its own and is out with its goal.
    """

    kind: NoteKind
    activity: str


def applied(
    plan: Plan, changes: Iterable[Change], starting: Mapping[str, Activity]
) -> tuple[Plan, tuple[Note, ...]]:
    """Return the plan after the changes, in their order, and what must be told about them.

    starting: the values from which an added activity starts, by id. Of a change that cannot be made in whole, the rest is
    made. The result is always a plan that a document can hold.
    """
    notes: list[Note] = []
    for change in changes:
        match change:
            case Removal(name):
                if plan.activity(name) is None:
                    notes.append(Note("not_in_plan", name))
                plan = replace(
                    activity_left_goals(plan, name),
                    activities=tuple(each for each in plan.activities if each.activity != name),
                )
            case GoalChange():
                plan = _told(goal_changed(plan, change, starting), notes)
            case GoalRemoval(name):
                plan = _told(goal_removed(plan, name, starting), notes)
            case NextChange(name, step):
                plan = _next_changed(plan, name, step, notes)
            case DayChange():
                plan = _day_changed(plan, change)
            case ActivityChange():
                plan = _activity_changed(plan, change, starting.get(change.activity), notes)
    return plan, tuple(notes)


def _told(edited: Edited, notes: list[Note]) -> Plan:
    notes += [Note("started", each) for each in (*edited.started, *edited.targeted)]
    notes += [Note("dose_missing", each) for each in edited.unknown]
    notes += [Note("left_with_goal", each) for each in edited.dropped]
    return edited.plan


def _next_changed(plan: Plan, name: str, step: NextStep | None, notes: list[Note]) -> Plan:
    if plan.activity(name) is None:
        notes.append(Note("not_in_plan", name))
        return plan
    return replace(
        plan,
        activities=tuple(
            replace(each, next_step=step) if each.activity == name else each for each in plan.activities
        ),
    )


def _day_changed(plan: Plan, change: DayChange) -> Plan:
    moments = dict(plan.moments) | dict(change.moments)
    return replace(
        plan,
        most_prompts=plan.most_prompts if change.most_prompts is None else change.most_prompts,
        shortest_gap=plan.shortest_gap if change.shortest_gap is None else change.shortest_gap,
        quiet=None if change.no_quiet else change.quiet or plan.quiet,
        feeds=plan.feeds if change.feeds is None else change.feeds,
        awake=plan.awake if change.awake is None else change.awake,
        moments=tuple(moments.items()),
        arm_hold=None if change.no_arm_hold else change.arm_hold or plan.arm_hold,
    )


def _activity_changed(plan: Plan, change: ActivityChange, start: Activity | None, notes: list[Note]) -> Plan:
    present = plan.activity(change.activity)
    base = present or _added(plan, change, start, notes)
    if base is None:
        notes.append(Note("dose_missing", change.activity))
        return plan
    changed = _with_fields(base, change)
    changed = _with_session(changed, change, notes)
    changed = _with_side(changed, change, plan.baby.affected_side, notes)
    changed = _with_dates(changed, change, notes)
    if present is None:
        return replace(plan, activities=(*plan.activities, changed))
    return replace(
        plan,
        activities=tuple(changed if each.activity == change.activity else each for each in plan.activities),
    )


def _added(plan: Plan, change: ActivityChange, start: Activity | None, notes: list[Note]) -> Activity | None:
    """Return what a new activity starts from: as said where minutes and session are, else the starting values."""
    session = _whole_session(change.session)
    if start is None:
        if change.target is None or session is None:
            return None
        return Activity(change.activity, change.target, session)
    if change.target is None or session is None:
        notes.append(Note("started", change.activity))
    return fitted(start, plan)


def _whole_session(session: tuple[int | None, int | None] | None) -> Span | None:
    if session is None or session == (None, None):
        return None
    least, most = session
    return (least or most or 0, most or least or 0)


def fitted(activity: Activity, plan: Plan) -> Activity:
    """Return an activity of a template as this family can have it.

    Care moments without a time in the plan are left out (an activity that has none left stands at any time); a weak
    or strong side becomes both in turn where both arms need care.
    """
    timed = {name for name, times in plan.moments if times}
    moments = tuple(name for name in activity.moments or () if name in timed)
    side: SideRule = activity.side
    if plan.baby.affected_side == "both" and side != "none":
        side = "alternate"
    return replace(activity, moments=moments or None, side=side)


def _with_fields(base: Activity, change: ActivityChange) -> Activity:
    moments = None if change.any_time else base.moments if change.moments is None else change.moments
    when = base.when if change.when is None else "early" if change.when == "early" else None
    return replace(
        base,
        when=when,
        target=base.target if change.target is None else change.target,
        after_feed=base.after_feed if change.after_feed is None else change.after_feed,
        before_feed=base.before_feed if change.before_feed is None else change.before_feed,
        own_gap=base.own_gap if change.own_gap is None else change.own_gap,
        weight=base.weight if change.weight is None else change.weight,
        moments=moments,
    )


def _with_session(base: Activity, change: ActivityChange, notes: list[Note]) -> Activity:
    if change.session is None:
        return base
    least = base.session[0] if change.session[0] is None else change.session[0]
    most = base.session[1] if change.session[1] is None else change.session[1]
    if least > most:
        notes.append(Note("session_crossed", change.activity))
        return base
    return replace(base, session=(least, most))


def _with_side(base: Activity, change: ActivityChange, affected: AffectedSide, notes: list[Note]) -> Activity:
    if change.side is None:
        return base
    if affected == "both" and (change.side in ("affected", "unaffected") or isinstance(change.side, Ratio)):
        notes.append(Note("both_arms", change.activity))
        return base
    return replace(base, side=change.side)


def _with_dates(base: Activity, change: ActivityChange, notes: list[Note]) -> Activity:
    kept = replace(base, from_=None, until=None) if change.open_dates else base
    first = kept.from_ if change.from_ is None else change.from_
    last = kept.until if change.until is None else change.until
    if first is not None and last is not None and last < first:
        notes.append(Note("dates_crossed", change.activity))
        return kept
    return replace(kept, from_=first, until=last)
